package text

import (
	"strings"
	"unicode/utf8"

	"arctally/acquire/foreign"
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
	none    string     // stands in the place of no rows
	notes   [][]string // lines under each row; may be short
	heads   [][]string // lines above each row; may be short
}

func (g *grid) add(cells []string, notes ...string) {
	if len(cells) != len(g.columns) {
		panic("text: a row that does not fit its columns")
	}
	for k := range cells {
		cells[k] = foreign.Line(cells[k])
	}
	g.rows = append(g.rows, cells)
	g.notes = append(g.notes, notes)
	g.heads = append(g.heads, nil)
}

// head puts lines above the row that was added last.
func (g *grid) head(lines ...string) { g.heads[len(g.heads)-1] = lines }

func (g *grid) writeTo(p *page) {
	names, units := make([]string, len(g.columns)), make([]string, len(g.columns))
	for i, c := range g.columns {
		names[i], units[i] = c.name, c.unit
	}
	widths := g.widths(names, units)
	g.line(p, names, widths)
	g.line(p, units, widths)
	for i, row := range g.rows {
		p.lines(g.heads[i]...)
		g.line(p, row, widths)
		for _, note := range g.notes[i] {
			p.WriteString(indent + note + "\n")
		}
	}
}

func (g *grid) widths(heads ...[]string) []int {
	widths := make([]int, len(g.columns))
	for _, row := range append(heads, g.rows...) {
		for i, cell := range row {
			widths[i] = max(widths[i], length(cell))
		}
	}
	return widths
}

func (g *grid) line(p *page, cells []string, widths []int) {
	var line strings.Builder
	for i, cell := range cells {
		if i > 0 {
			line.WriteByte(' ')
		}
		pad := strings.Repeat(" ", widths[i]-length(cell))
		if g.columns[i].left {
			line.WriteString(cell + pad)
		} else {
			line.WriteString(pad + cell)
		}
	}
	p.WriteString(strings.TrimRight(line.String(), " ") + "\n")
}

// length counts the characters that a terminal shows.
func length(text string) int { return utf8.RuneCountInString(text) }
