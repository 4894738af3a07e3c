package layout

import "arctally/report/draw"

// Table is a table whose head stands again on every page that it reaches.
type Table struct {
	Columns []Column
	Rows    [][]Cell
	Size    float64 // of the type in points; 0 is 8.5
	Narrow  bool    // no wider than it wants to be
}

// Column is one column of a table.
type Column struct {
	Head  []Part
	Right bool // figures stand below figures
	// Boxed leaves room to write in.
	Boxed bool
	Least float64 // width, mm
}

// Cell is what stands in one cell, a paragraph to each part.
type Cell []Part

// Part is a paragraph in one type.
type Part struct {
	Text             string
	Bold, Grey, Mono bool
	Mark             *draw.Drawing // before the text
}

// laid is a part as lines.
type laid struct {
	text string
	look Look
	mark *draw.Drawing
}

// The room inside cells, mm.
const (
	cellSide = 1.1
	cellTop  = 0.9
)

// Table writes a table.
func (d *Document) Table(t Table) {
	if t.Size == 0 {
		t.Size = 8.5
	}
	g := &tableLayout{d: d, t: &t, line: Look{Size: t.Size}.line()}
	g.measure()
	heads := make([]Cell, len(t.Columns))
	for k, c := range t.Columns {
		heads[k] = c.Head
	}
	g.head = g.lay(heads)
	d.need(g.height(g.head) + g.line*3)
	g.writeHead()
	for _, row := range t.Rows {
		g.writeRow(g.lay(row))
	}
	d.y += 2.5
}

// tableLayout is a table on its way to the page.
type tableLayout struct {
	d      *Document
	t      *Table
	line   float64
	widths []float64
	head   [][]laid
}

func (g *tableLayout) look(p Part) Look {
	l := Look{Size: g.t.Size, Bold: p.Bold, Grey: p.Grey, Mono: p.Mono}
	if p.Grey {
		l.Size *= 0.92
	}
	if p.Mono {
		l.Size *= 0.86
	}
	return l
}

// markWidth is the room that a mark takes.
func (g *tableLayout) markWidth(p Part) float64 {
	if p.Mark == nil {
		return 0
	}
	return g.line * 1.15
}

// lay breaks cells into lines.
func (g *tableLayout) lay(cells []Cell) [][]laid {
	row := make([][]laid, len(g.t.Columns))
	for k, cell := range cells {
		for _, p := range cell {
			look, mark := g.look(p), p.Mark
			for _, line := range g.d.wrap(p.Text, look, g.widths[k]-2*cellSide-g.markWidth(p)+0.01) {
				row[k] = append(row[k], laid{line, look, mark})
				mark = nil
			}
		}
	}
	return row
}

func lineCount(row [][]laid) (lines int) {
	for _, cell := range row {
		lines = max(lines, len(cell))
	}
	return lines
}

func (g *tableLayout) height(row [][]laid) float64 { return float64(lineCount(row))*g.line + 2*cellTop }

func (g *tableLayout) writeHead() {
	g.lines(g.head, 0, lineCount(g.head), true)
	g.rule(0.45, g.d.black)
}

// writeRow keeps a row on one page, unless no page can hold it.
func (g *tableLayout) writeRow(row [][]laid) {
	d, all := g.d, lineCount(row)
	fresh := d.bottom - topMargin - g.height(g.head)
	for from := 0; from < all; {
		room := d.bottom - d.y
		if whole := float64(all-from)*g.line + 2*cellTop; whole > room && !d.dry && (whole <= fresh || room < 4*g.line) {
			d.NewPage()
			g.writeHead()
			room = fresh
		}
		until := all
		if !d.dry {
			until = min(all, from+max(1, int((room-2*cellTop)/g.line)))
		}
		g.lines(row, from, until, false)
		from = until
	}
	g.rule(0.15, g.d.thin)
}

func (g *tableLayout) rule(weight float64, c draw.Colour) {
	full := g.d.width
	g.d.width = 0
	for _, width := range g.widths {
		g.d.width += width
	}
	g.d.rule(weight, c)
	g.d.width = full
}

// lines writes some lines of a row.
func (g *tableLayout) lines(row [][]laid, from, until int, head bool) {
	d, x := g.d, g.d.x
	height := float64(until-from)*g.line + 2*cellTop
	for k, cell := range row {
		if head { // a head stands on its rule
			g.cell(cell, k, x, d.y+float64(until-len(cell))*g.line, 0, len(cell))
		} else {
			g.cell(cell, k, x, d.y, from, min(until, len(cell)))
			if g.t.Columns[k].Boxed && !d.dry {
				d.stroke(0.3, d.black)
				d.pdf.Rect(x, d.y, g.widths[k], height, "D")
			}
		}
		x += g.widths[k]
	}
	d.y += height
}

func (g *tableLayout) cell(cell []laid, k int, x, y float64, from, until int) {
	if g.d.dry {
		return
	}
	for n := from; n < until; n++ {
		l := cell[n]
		baseline := y + cellTop + (float64(n-from)+0.76)*g.line
		left := x + cellSide
		if l.mark != nil {
			g.d.paint(l.mark, left, baseline-0.62*g.line, g.line*0.78, g.line*0.78)
		}
		if g.markedAbove(cell, n) {
			left += g.line * 1.15
		}
		if g.t.Columns[k].Right {
			left = x + g.widths[k] - cellSide - g.d.measure(l.text, l.look)
		}
		g.d.say(left, baseline, l.text, l.look)
	}
}

// markedAbove reports whether a line belongs under a mark.
func (g *tableLayout) markedAbove(cell []laid, n int) bool {
	return cell[n].mark != nil || n > 0 && cell[0].mark != nil && cell[n].look == cell[0].look
}
