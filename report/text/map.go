package text

import (
	"fmt"
	"io"
	"strconv"

	"arctally/analyze/bore"

	"arctally/acquire/quantity"
	"arctally/report/sheet"
)

// The fields of a map on a terminal: 24 of 15 degrees fit its width.
const (
	tableAcross = 3
	tableRows   = 40
)

// Map writes a layer of the unrolled map as a table of angle by depth, and
// whether the bore will clean up. The error is ErrNoMap where there is none.
func Map(w io.Writer, s *sheet.Sheet, of sheet.MapLayer, u sheet.Units, eccentricity quantity.Metres) error {
	if s.Wall == nil {
		return sheet.ErrNoMap
	}
	set := u.Set()
	f := sheet.Coarse(s.Wall, tableAcross, tableRows)
	title, unit := s.LayerText(of, u)
	var p page
	p.head("unrolled map", s)
	p.printf("%s, %s; fields of 15 deg by %s, each named by where it begins\n\n", title, unit.Name,
		sheet.Say(quantity.Metres(f.Down)*s.Wall.DepthStep, set.Depth))
	p.table(mapGrid(s, f, of, unit, set), gapPoint(s.Wall, of), "angle clockwise from the reference mark, seen from the torch side; depth from the entry face")
	p.WriteString("\n")
	p.cleanUp(s.CleanUp(eccentricity, u))
	return p.writeTo(w, "unrolled map")
}

func mapGrid(s *sheet.Sheet, f sheet.Fields, of sheet.MapLayer, unit sheet.Unit, set *sheet.UnitSet) *grid {
	g := &grid{columns: []column{{name: "depth", unit: set.Depth.Name}}}
	for k := range f.Columns {
		angle := int(float64(k*f.Across) * float64(s.Wall.AngleStep))
		g.columns = append(g.columns, column{name: strconv.Itoa(angle), unit: "deg"})
	}
	for row := range f.Rows {
		from := quantity.Metres(row*f.Down) * s.Wall.DepthStep
		cells := []string{sheet.Show(&from, set.Depth)}
		for k := range f.Columns {
			cells = append(cells, fieldText(s, f, of, row, k, unit))
		}
		g.add(cells)
	}
	return g
}

// fieldText prints a field of a layer: a point for a gap, a dash for what is not known.
func fieldText(s *sheet.Sheet, f sheet.Fields, of sheet.MapLayer, row, column int, unit sheet.Unit) string {
	sum, cells := f.Sum(row, column)
	switch {
	case cells == 0:
		return "."
	case of == sheet.HeatLayer:
		return sheet.Show(s.HeatOf(sum), unit)
	case of == sheet.ArcLayer:
		return sheet.Show(&sum.ArcTime, unit)
	case of == sheet.EnergyLayer:
		return sheet.Show(&sum.Energy, unit)
	}
	if f.NotSeen(row, column) {
		return "?"
	}
	if least := f.Least(row, column, sheet.StockOf(f.Wall)); least != nil {
		return sheet.Show(least, unit)
	}
	return "."
}

// gapPoint says what a point in the table stands for.
func gapPoint(m *bore.Map, of sheet.MapLayer) string {
	if of == sheet.StockLayer {
		return ". planned gap, or within " + sheet.GapReach(m) + " of one; ? data is missing"
	}
	return ". planned gap"
}

func (p *page) cleanUp(c sheet.CleanUp) {
	p.lines(c.Answer)
	for _, places := range c.Places {
		p.lines(places.Head)
		for _, line := range places.Lines {
			p.lines("- " + line)
		}
		if places.More > 0 {
			p.lines(fmt.Sprintf("- and at %d more places, all in --json", places.More))
		}
	}
	p.lines(c.Cautions...)
	p.lines("The program calculates and flags; only a person accepts.")
}
