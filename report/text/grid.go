package text

import (
	"io"
	"strings"
	"unicode/utf8"
)

// column is one column of a table: its name above its unit.
type column struct {
	name, unit string
	left       bool
}

// grid is a table with right-aligned columns, as figures want it.
type grid struct {
	columns []column
	rows    [][]string
	notes   [][]string // lines under each row; may be short
}

func (g *grid) add(cells []string, notes ...string) {
	if len(cells) != len(g.columns) {
		panic("sheet: a row that does not fit its columns")
	}
	g.rows = append(g.rows, cells)
	g.notes = append(g.notes, notes)
}

func (g *grid) writeTo(w io.Writer) error {
	names, units := make([]string, len(g.columns)), make([]string, len(g.columns))
	for i, c := range g.columns {
		names[i], units[i] = c.name, c.unit
	}
	widths := g.widths(names, units)
	var b strings.Builder
	g.line(&b, names, widths)
	g.line(&b, units, widths)
	for i, row := range g.rows {
		g.line(&b, row, widths)
		for _, note := range g.notes[i] {
			b.WriteString("     " + note + "\n")
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func (g *grid) widths(heads ...[]string) []int {
	widths := make([]int, len(g.columns))
	for _, row := range append(heads, g.rows...) {
		for i, cell := range row {
			widths[i] = max(widths[i], utf8.RuneCountInString(cell))
		}
	}
	return widths
}

func (g *grid) line(b *strings.Builder, cells []string, widths []int) {
	var line strings.Builder
	for i, cell := range cells {
		if i > 0 {
			line.WriteByte(' ')
		}
		pad := strings.Repeat(" ", widths[i]-utf8.RuneCountInString(cell))
		if g.columns[i].left {
			line.WriteString(cell + pad)
		} else {
			line.WriteString(pad + cell)
		}
	}
	b.WriteString(strings.TrimRight(line.String(), " ") + "\n")
}

// wrap breaks a sentence into lines of at most width characters.
func wrap(text string, width int) []string {
	var lines []string
	line := ""
	for _, w := range strings.Fields(text) {
		if line != "" && utf8.RuneCountInString(line)+1+utf8.RuneCountInString(w) > width {
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
