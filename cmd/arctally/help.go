package main

import (
	"flag"

	"arctally/cmd/internal/manual"
)

const programSummary = "records what a welding arc did in a bore, judges it, and says where to look"

// aboutProgram is what the program says of itself; the commands stand in it where they are given.
func aboutProgram(known []command) *manual.Program {
	p := &manual.Program{Name: "arctally", Summary: programSummary, Version: manual.Version()}
	for k := range known {
		flags := flag.NewFlagSet(known[k].name, flag.ContinueOnError)
		known[k].setUp(flags)
		p.Commands = append(p.Commands, known[k].about(flags))
	}
	return p
}

// about is what a command says of itself: what it does, its flags, an example, its exit statuses.
func (c command) about(flags *flag.FlagSet) manual.Command {
	told := manual.Command{
		Name: c.name, Operands: c.operands, Summary: c.summary, Example: c.example,
		Statuses: []manual.Status{{Code: 0, Means: "done"}, {Code: 1, Means: "error"}, {Code: 2, Means: "wrong use"}},
	}
	flags.VisitAll(func(f *flag.Flag) {
		kind, text := flag.UnquoteUsage(f)
		said := manual.Flag{Name: f.Name, Kind: kind, Text: text}
		if f.DefValue != "false" && f.DefValue != "0s" && f.DefValue != "0" {
			said.Default = f.DefValue
		}
		told.Flags = append(told.Flags, said)
	})
	if c.findings {
		told.Statuses = append(told.Statuses, manual.Status{Code: 3, Means: "done, and findings are open"})
	}
	if c.status3 != "" {
		told.Statuses = append(told.Statuses, manual.Status{Code: 3, Means: c.status3})
	}
	return told
}

// help is the page of one command at the terminal.
func (c command) help(flags *flag.FlagSet) string {
	told := c.about(flags)
	return aboutProgram(nil).Help(&told)
}
