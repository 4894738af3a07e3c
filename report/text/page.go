package text

import (
	"fmt"
	"io"
	"strings"

	"arctally/acquire/foreign"
	"arctally/report/sheet"
)

// pageWidth keeps a table readable in a terminal of 140 columns.
const pageWidth = 136

// page collects what goes to the terminal, so that it is written at once.
type page struct{ strings.Builder }

// printf writes like fmt.Printf, texts among the values in their line; memory takes whatever comes.
func (p *page) printf(format string, values ...any) {
	fmt.Fprintf(&p.Builder, format, foreign.Args(values...)...)
}

// head says what the page shows, and of which job.
func (p *page) head(title string, s *sheet.Sheet) {
	p.printf("%s: %s\nrecord %s, procedure %s, pattern %s\n\n", title, sheet.OrDash(s.Job.Name), sheet.OrDash(s.Record),
		sheet.OrDash(s.Job.Procedure.Name), sheet.OrDash(string(s.Job.Deposit.Pattern)))
}

// lines writes sentences, each broken where the terminal ends.
func (p *page) lines(sentences ...string) {
	for _, text := range sentences {
		p.WriteString(strings.Join(wrap(text, pageWidth), "\n  ") + "\n")
	}
}

// indented writes sentences below a line that they belong to.
func (p *page) indented(width int, sentences ...string) {
	for _, text := range sentences {
		for _, line := range wrap(text, width) {
			p.WriteString(indent + line + "\n")
		}
	}
}

// indent stands before what belongs to the line above.
const indent = "     "

// table writes a grid and what its figures rest on.
func (p *page) table(g *grid, notes ...string) {
	g.writeTo(p)
	if len(g.rows) == 0 && g.none != "" {
		p.indented(pageWidth, g.none)
	}
	p.WriteString("\n")
	p.lines(notes...)
}

func (p *page) writeTo(w io.Writer, what string) error {
	if _, err := io.WriteString(w, p.String()); err != nil {
		return fmt.Errorf("write %s: %w", what, err)
	}
	return nil
}

// wrap breaks a sentence into lines of at most width characters, what is hidden in it shown.
func wrap(text string, width int) []string {
	var lines []string
	line := ""
	for _, w := range strings.Fields(foreign.Visible(text)) {
		if line != "" && length(line)+1+length(w) > width {
			lines = append(lines, line)
			line = ""
		}
		if line != "" {
			line += " "
		}
		line += w
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}
