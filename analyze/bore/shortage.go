package bore

import (
	"cmp"
	"slices"

	"arctally/acquire/quantity"
)

// Shortage is a patch of the wall that needs more metal: the box around cells
// that touch one another.
type Shortage struct {
	From, To           quantity.Degrees // from From clockwise to To; 0 to 360 is all round
	FromDepth, ToDepth quantity.Metres
	Least              quantity.Metres // least stock in it
	Place              Place           // and where
	Cells              int
}

// shortages joins the cells that are short into patches.
func (m *Map) shortages(short []bool) []Shortage {
	var found []Shortage
	for index := range short {
		if short[index] {
			found = append(found, m.shortage(m.patch(short, index)))
		}
	}
	slices.SortStableFunc(found, func(a, b Shortage) int { return cmp.Compare(a.Least, b.Least) })
	return found
}

// patch takes the cells that touch a cell, round the reference mark too, out of
// those that are short.
func (m *Map) patch(short []bool, index int) []int {
	short[index] = false
	cells := []int{index}
	for k := 0; k < len(cells); k++ {
		row, column := cells[k]/m.Columns, cells[k]%m.Columns
		for _, next := range [][2]int{
			{row - 1, column},
			{row + 1, column},
			{row, (column + 1) % m.Columns},
			{row, (column + m.Columns - 1) % m.Columns},
		} {
			if next[0] < 0 || next[0] >= m.Rows {
				continue
			}
			if at := next[0]*m.Columns + next[1]; short[at] {
				short[at] = false
				cells = append(cells, at)
			}
		}
	}
	return cells
}

func (m *Map) shortage(cells []int) Shortage {
	s := Shortage{Cells: len(cells), Least: m.Bore.WornDiameter}
	taken := make([]bool, m.Columns)
	top, bottom := m.Rows, 0
	for _, at := range cells {
		row, column := at/m.Columns, at%m.Columns
		taken[column] = true
		top, bottom = min(top, row), max(bottom, row)
		if stock := m.Stock(row, column); stock < s.Least {
			s.Least, s.Place = stock, m.Centre(row, column)
		}
	}
	first, count := around(taken)
	s.From = quantity.Degrees(first) * m.AngleStep
	s.To = quantity.Degrees(first+count) * m.AngleStep
	if count < m.Columns {
		s.To = NormalAngle(s.To)
	}
	s.FromDepth = quantity.Metres(top) * m.DepthStep
	s.ToDepth = min(quantity.Metres(bottom+1)*m.DepthStep, m.Bore.Length)
	return s
}

// around returns the shortest run of columns that holds all taken ones: it begins
// after the longest run of free ones.
func around(taken []bool) (first, count int) {
	n := len(taken)
	longest := 0
	for start := range n {
		free := 0
		for free < n && !taken[(start+free)%n] {
			free++
		}
		if free > longest {
			longest, first = free, (start+free)%n
		}
	}
	return first, n - longest
}
