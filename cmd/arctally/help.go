package main

import (
	"flag"
	"fmt"
	"strings"
)

// help is the page of one command: what it does, its flags, an example, its exit statuses.
func (c command) help(flags *flag.FlagSet) string {
	var page strings.Builder
	fmt.Fprintf(&page, "%s\n\nUsage: %s\n", c.summary, strings.TrimSpace("arctally "+c.name+" [FLAGS] "+c.operands))
	page.WriteString("\nFlags:\n")
	flags.VisitAll(func(f *flag.Flag) {
		kind, text := flag.UnquoteUsage(f)
		dashes := "--"
		if len(f.Name) == 1 {
			dashes = "-"
		}
		fmt.Fprintf(&page, "  %s\n        %s", strings.TrimSpace(dashes+f.Name+" "+kind), text)
		if f.DefValue != "" && f.DefValue != "false" && f.DefValue != "0s" && f.DefValue != "0" {
			fmt.Fprintf(&page, " (default %s)", f.DefValue)
		}
		page.WriteString("\n")
	})
	fmt.Fprintf(&page, "\nExample:\n  %s\n\nEXIT STATUS\n  0  done\n  1  error\n  2  wrong use\n", c.example)
	if c.findings {
		page.WriteString("  3  done, and findings are open\n")
	}
	if c.status3 != "" {
		page.WriteString("  3  " + c.status3 + "\n")
	}
	return page.String()
}
