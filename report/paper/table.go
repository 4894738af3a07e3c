package paper

import (
	"arctally/report/draw"
	"arctally/report/paper/layout"
)

// table is a table with a head.
type table struct {
	Class   string // on the page
	Columns []column
	Rows    []row
	Stacked bool    // on a phone each cell stands below the name of its column
	Bare    bool    // its rows have no name
	size    float64 // of the type on paper, points; 0 is the usual one
	narrow  bool    // no wider than it wants to be, on paper
}

// column is one column. Two figures may stand in a cell, one above the other, so
// that a sheet in portrait holds them all: then the head has two names.
type column struct {
	Name, Unit       string
	SubName, SubUnit string
	Class            string  // on the page
	right            bool    // figures stand below figures
	Boxed            bool    // leaves room to write in
	least            float64 // width on paper, mm
}

func left(name string) column  { return column{Name: name} }
func right(name string) column { return column{Name: name, Class: "n", right: true} }

func lefts(names ...string) (columns []column) {
	for _, name := range names {
		columns = append(columns, left(name))
	}
	return columns
}

// row is one row; a page can be opened at one that has an id.
type row struct {
	ID    string
	Cells []cell
}

// cell is what stands in one cell, a line to each part.
type cell []part

// part is a line in a cell.
type part struct {
	Text     string
	Bold     bool
	Grey     bool          // the lower of two figures
	Stressed bool          // bold on the page alone, where a reader scrolls past
	Mark     *draw.Drawing // before the text
}

// named is a row that begins with its name.
func named(name string, texts ...string) row {
	cells := []cell{{{Text: name, Bold: true}}}
	for _, text := range texts {
		cells = append(cells, cell{{Text: text}})
	}
	return row{Cells: cells}
}

// two is a cell of two figures.
func two(main, sub string) cell { return cell{{Text: main}, {Text: sub, Grey: true}} }

func (*table) kind() string { return "table" }

func (t *table) print(d *layout.Document) {
	printed := layout.Table{Size: t.size, Narrow: t.narrow}
	for k := range t.Columns {
		printed.Columns = append(printed.Columns, t.Columns[k].printed())
	}
	for _, r := range t.Rows {
		cells := make([]layout.Cell, len(r.Cells))
		for k, c := range r.Cells {
			cells[k] = c.printed(t.Columns[k].Boxed)
		}
		printed.Rows = append(printed.Rows, cells)
	}
	d.Table(printed)
}

// blank is a line without words.
const blank = " "

// roomToWrite is how many lines a box is left, at least.
const roomToWrite = 4

func (c cell) printed(boxed bool) (printed layout.Cell) {
	for _, p := range c {
		printed = append(printed, layout.Part{Text: p.Text, Bold: p.Bold, Grey: p.Grey, Mark: p.Mark})
	}
	for boxed && len(printed) < roomToWrite {
		printed = append(printed, layout.Part{Text: blank})
	}
	return printed
}

func (c *column) printed() layout.Column {
	head := []layout.Part{{Text: c.Name, Bold: true}}
	if c.SubName != "" {
		unit, sub := c.Unit, c.SubName
		if unit == "" {
			unit = blank
		}
		if c.SubUnit != "" {
			sub += " " + c.SubUnit
		}
		head = append(head, layout.Part{Text: unit}, layout.Part{Text: sub, Grey: true})
	}
	return layout.Column{Head: head, Right: c.right, Boxed: c.Boxed, Least: c.least}
}
