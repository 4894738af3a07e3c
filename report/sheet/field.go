package sheet

import (
	"strings"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
)

// MapLayer chooses what the unrolled map shows.
type MapLayer string

// The layers of the map.
const (
	StockLayer  MapLayer = "stock"  // radial metal over the finish diameter, the least of a field
	HeatLayer   MapLayer = "heat"   // heat input, or arc energy where the procedure judges that
	ArcLayer    MapLayer = "arc"    // arc-on time
	EnergyLayer MapLayer = "energy" // arc energy, all layers together
)

// MapLayers are the layers that there are.
func MapLayers() []MapLayer { return []MapLayer{StockLayer, HeatLayer, ArcLayer, EnergyLayer} }

// Fields is a map made coarser, so that a person can read it: each field is a
// few columns by a few rows of cells.
type Fields struct {
	Wall          *bore.Map
	Across, Down  int // cells of a field
	Columns, Rows int
}

// Coarse returns fields of so many columns, and no more rows than most.
func Coarse(m *bore.Map, across, most int) Fields {
	down := (m.Rows + most - 1) / most
	return Fields{Wall: m, Across: across, Down: down, Columns: m.Columns / across, Rows: (m.Rows + down - 1) / down}
}

// Each calls for every cell of a field that the plan does not leave as a gap.
func (f Fields) Each(row, column int, do func(row, column int)) {
	for r := row * f.Down; r < min((row+1)*f.Down, f.Wall.Rows); r++ {
		for c := column * f.Across; c < (column+1)*f.Across; c++ {
			if f.Wall.WeldedShare(c) > 0 {
				do(r, c)
			}
		}
	}
}

// Sum adds up a field, and tells how many cells it has outside of gaps.
func (f Fields) Sum(row, column int) (all bore.Cell, cells int) {
	f.Each(row, column, func(r, c int) {
		all.Add(*f.Wall.At(r, c))
		cells++
	})
	return all, cells
}

// Least returns the least stock, or build-up, of a field; nil in a gap, at its edge,
// and where data is missing.
func (f Fields) Least(row, column int, of func(row, column int) quantity.Metres) *quantity.Metres {
	var least *quantity.Metres
	f.Each(row, column, func(r, c int) {
		if f.Wall.BesideGap(c) || f.Wall.At(r, c).NotSeen() {
			return
		}
		if v := of(r, c); least == nil || v < *least {
			least = &v
		}
	})
	return least
}

// HeatOf is the heat input of a cell by the definition that the procedure judges.
func (s *Sheet) HeatOf(c bore.Cell) *quantity.JoulesPerMetre {
	e, known := c.ArcEnergy()
	if !known {
		return nil
	}
	if s.JudgesArcEnergy() {
		return &e
	}
	return heatInputOf(s.Job.Procedure.Process, e)
}

// heatInputOf is nil for a process without a thermal efficiency.
func heatInputOf(process string, e quantity.JoulesPerMetre) *quantity.JoulesPerMetre {
	k, listed := heat.ThermalEfficiency(process)
	if !listed {
		return nil
	}
	return new(heat.HeatInput(k, e))
}

// LayerText says what a layer shows, and in which unit.
func (s *Sheet) LayerText(of MapLayer, u Units) (title string, unit Unit) {
	set := u.Set()
	switch of {
	case HeatLayer:
		title = s.JudgedName() + ", energy over path of all layers"
		return strings.ToLower(title[:1]) + title[1:], set.Heat.To(set.Heat.Digits - 1)
	case ArcLayer:
		return "arc-on time of all layers", Unit{"s", 1}
	case EnergyLayer:
		return "arc energy of all layers", Unit{"kJ", 1}
	default:
		return stockTitle(s.Wall), set.Bore
	}
}

func stockTitle(m *bore.Map) string {
	if m.Bore.FinishDiameter > 0 {
		return "least radial stock over the finish diameter"
	}
	return "least build-up on the worn wall"
}

// StockOf is the stock of a cell, its build-up where no finish diameter is declared.
func StockOf(m *bore.Map) func(row, column int) quantity.Metres {
	if m.Bore.FinishDiameter > 0 {
		return m.Stock
	}
	return m.Height
}

// GapReach says how near to a planned gap nothing is judged.
func GapReach(m *bore.Map) string { return quantity.Text(m.GapReach(), "deg", 0) }

// NotSeen reports whether data is missing in a field.
func (f Fields) NotSeen(row, column int) (missing bool) {
	f.Each(row, column, func(r, c int) {
		missing = missing || !f.Wall.NearGap(c) && f.Wall.At(r, c).NotSeen()
	})
	return missing
}
