package main

import (
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"slices"
	"strings"

	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/terminal"
)

// command is one verb of the program.
type command struct {
	name     string
	operands string // as shown in the usage line
	summary  string // one line: what it does
	example  string // a line that can be typed
	// findings is set where the command ends with status 3 while findings are open.
	findings bool
	// status3 is what that status means where it is not about findings.
	status3 string
	// setUp binds the flags and returns what the command does once they are parsed.
	setUp func(*flag.FlagSet) action
}

// action carries out a command; operands are what stood on the line beside the flags.
type action func(ctx context.Context, screen *terminal.Screen, operands []string) error

// dispatch finds the command that args name among those that are known, and carries it out.
func dispatch(ctx context.Context, screen *terminal.Screen, known []command, args []string) error {
	if len(args) == 0 {
		return &explain.MisuseError{Text: "no command given"}
	}
	if args[0] == "help" || isHelp(args[0]) {
		if len(args) == 1 || isHelp(args[0]) {
			return screen.Print(usage(known))
		}
		args = []string{args[1], "--help"}
	}
	if args[0] == "--version" || args[0] == "version" {
		return screen.Print(aboutProgram(nil).Build())
	}
	k := slices.IndexFunc(known, func(c command) bool { return c.name == args[0] })
	if k < 0 {
		return &explain.MisuseError{Text: fmt.Sprintf("there is no command %q", args[0])}
	}
	return known[k].do(ctx, screen, args[1:])
}

func (c command) do(ctx context.Context, screen *terminal.Screen, args []string) error {
	flags := flag.NewFlagSet(c.name, flag.ContinueOnError)
	flags.SetOutput(io.Discard) // errors are reported once, by the screen
	act := c.setUp(flags)
	operands, err := parseMixed(flags, args)
	switch {
	case errors.Is(err, flag.ErrHelp):
		return screen.Print(c.help(flags))
	case err != nil:
		return &explain.MisuseError{Command: c.name, Text: err.Error()}
	}
	if want := strings.Fields(c.operands); !fits(operands, want) {
		return &explain.MisuseError{Command: c.name, Text: fmt.Sprintf("%s takes %s, but got %s", c.name, count(want), count(operands))}
	}
	return act(ctx, screen, operands)
}

// fits reports whether there are as many operands as a usage line shows. One in
// brackets may be left out; the last one may go on and on, "[key=value...]".
func fits(operands, shown []string) bool {
	least := slices.IndexFunc(shown, func(word string) bool { return strings.HasPrefix(word, "[") })
	if least < 0 {
		return len(operands) == len(shown)
	}
	endless := strings.HasSuffix(shown[len(shown)-1], "...]")
	return len(operands) >= least && (endless || len(operands) <= len(shown))
}

// count says how many operands there are and which.
func count(operands []string) string {
	if len(operands) == 0 {
		return "no operand"
	}
	return strings.Join(operands, " ")
}

// parseMixed lets flags stand before, between and after the operands.
func parseMixed(flags *flag.FlagSet, args []string) (operands []string, err error) {
	for len(args) > 0 {
		if err := flags.Parse(args); err != nil {
			return nil, err
		}
		rest := flags.Args()
		if read := len(args) - len(rest); read > 0 && args[read-1] == "--" {
			return append(operands, rest...), nil
		}
		if len(rest) == 0 {
			break
		}
		operands, args = append(operands, rest[0]), rest[1:]
	}
	return operands, nil
}

const programUsage = `arctally %s.

Usage: arctally COMMAND [FLAGS] [OPERANDS]

Commands:
%s
"arctally COMMAND --help" shows the flags and an example of each, "arctally --version" which build this is.
`

func isHelp(arg string) bool { return arg == "--help" || arg == "-help" || arg == "-h" }

func usage(known []command) string {
	var list strings.Builder
	for _, c := range known {
		fmt.Fprintf(&list, "  %-9s %s\n", c.name, c.summary)
	}
	return fmt.Sprintf(programUsage, programSummary, list.String())
}

// printJSON writes a result for programs.
func printJSON(screen *terminal.Screen, result any) error {
	e := json.NewEncoder(screen.Out)
	e.SetIndent("", "  ")
	return e.Encode(result)
}
