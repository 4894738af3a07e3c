package manual

import (
	"fmt"
	"strings"
)

// page is the manual page of the program: what it does, and its commands.
func (p *Program) page() string {
	page := p.head(p.Name, p.Summary)
	fmt.Fprintf(page, ".SH SYNOPSIS\n.B %s\nCOMMAND [FLAGS] [OPERANDS]\n.SH COMMANDS\n", escaped(p.Name))
	for k := range p.Commands {
		c := &p.Commands[k]
		fmt.Fprintf(page, ".TP\n.BR %s (1)\n%s\n", escaped(p.pageName(c)), line(c.Summary))
	}
	page.WriteString(".SH OPTIONS\n.TP\n.B \\-\\-help\nshows the commands; after a command, its flags and an example\n.TP\n.B \\-\\-version\nshows which build this is\n")
	return page.String()
}

// commandPage is the manual page of one command.
func (p *Program) commandPage(c *Command) string {
	page := p.head(p.pageName(c), c.Summary)
	fmt.Fprintf(page, ".SH SYNOPSIS\n.B %s\n%s\n", escaped(p.Name+" "+c.Name), line(strings.TrimSpace("[FLAGS] "+c.Operands)))
	if len(c.Flags) > 0 {
		page.WriteString(".SH OPTIONS\n")
	}
	for k := range c.Flags {
		f := &c.Flags[k]
		fmt.Fprintf(page, ".TP\n\\fB%s\\fR", escaped(f.Spelled()))
		if f.Kind != "" {
			fmt.Fprintf(page, " \\fI%s\\fR", escaped(f.Kind))
		}
		fmt.Fprintf(page, "\n%s\n", line(strings.Join(strings.Fields(f.said()), " ")))
	}
	page.WriteString(".SH EXIT STATUS\n")
	for _, s := range c.Statuses {
		fmt.Fprintf(page, ".TP\n.B %d\n%s\n", s.Code, line(s.Means))
	}
	page.WriteString(".SH EXAMPLES\n")
	p.example(page, c.Example)
	fmt.Fprintf(page, ".SH SEE ALSO\n.BR %s (1)\n", escaped(p.Name))
	return page.String()
}

// head begins a page.
func (p *Program) head(name, summary string) *strings.Builder {
	page := new(strings.Builder)
	fmt.Fprintf(page, ".TH %s 1 \"%s\" \"%s\" \"User commands\"\n", escaped(strings.ToUpper(name)), p.Date, escaped(p.Name+" "+p.Version))
	fmt.Fprintf(page, ".SH NAME\n%s \\- %s\n", escaped(name), escaped(summary))
	return page
}

// example writes the lines of an example: what is typed as it stands, everything else as
// text, line by line but where a line is full and goes on in the next one.
func (p *Program) example(page *strings.Builder, text string) {
	typed, was := false, ""
	for said := range strings.Lines(text + "\n") {
		is := strings.TrimSpace(said)
		if is == "" {
			continue
		}
		types := strings.HasPrefix(is, p.Name+" ") || strings.HasPrefix(is, "man ")
		switch {
		case types && !typed:
			page.WriteString(".EX\n")
		case typed && !types:
			page.WriteString(".EE\n.PP\n")
		case !types && !goesOn(was):
			page.WriteString(".br\n")
		}
		page.WriteString(line(is) + "\n")
		typed, was = types, is
	}
	if typed {
		page.WriteString(".EE\n")
	}
}

// fullLine is how long a line of text is at least that is cut only because it is full.
const fullLine = 100

// goesOn reports whether a line of text goes on in the next one.
func goesOn(text string) bool {
	last := text[len(text)-1]
	return len(text) >= fullLine && (last == ',' || 'a' <= last && last <= 'z')
}

// escaped is text that stands within a line of a page.
func escaped(text string) string {
	return strings.NewReplacer(`\`, `\e`, "-", `\-`, "'", `\(aq`, "`", `\(ga`, "^", `\(ha`, "~", `\(ti`, `"`, `\(dq`).Replace(text)
}

// line is text that is a line of a page: no point that stands first is an order.
func line(text string) string {
	if strings.HasPrefix(text, ".") {
		return `\&` + escaped(text)
	}
	return escaped(text)
}
