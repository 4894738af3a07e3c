package sheet

import (
	"fmt"
	"math"

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

// fields is a map made coarser, so that a person can read it: each field is a
// few columns by a few rows of cells.
type fields struct {
	m             *bore.Map
	across, down  int // cells of a field
	columns, rows int
}

// coarse returns fields of so many columns, and no more rows than most.
func coarse(m *bore.Map, across, most int) fields {
	down := (m.Rows + most - 1) / most
	return fields{m: m, across: across, down: down, columns: m.Columns / across, rows: (m.Rows + down - 1) / down}
}

// each calls for every cell of a field that the plan does not leave as a gap.
func (f fields) each(row, column int, do func(row, column int)) {
	for r := row * f.down; r < min((row+1)*f.down, f.m.Rows); r++ {
		for c := column * f.across; c < (column+1)*f.across; c++ {
			if f.m.WeldedShare(c) > 0 {
				do(r, c)
			}
		}
	}
}

// sum adds up a field, and tells how many cells it has outside of gaps.
func (f fields) sum(row, column int) (all bore.Cell, cells int) {
	f.each(row, column, func(r, c int) {
		all.Add(*f.m.At(r, c))
		cells++
	})
	return all, cells
}

// least returns the least stock, or build-up, of a field; nil in a gap, at its edge,
// and where data is missing.
func (f fields) least(row, column int, of func(row, column int) quantity.Metres) *quantity.Metres {
	var least *quantity.Metres
	f.each(row, column, func(r, c int) {
		if f.m.BesideGap(c) || f.m.At(r, c).NotSeen() {
			return
		}
		if v := of(r, c); least == nil || v < *least {
			least = &v
		}
	})
	return least
}

// heatOf is the heat input of a cell by the definition that the procedure judges.
func (s *Sheet) heatOf(c bore.Cell) *quantity.JoulesPerMetre {
	e, known := c.ArcEnergy()
	if !known {
		return nil
	}
	if s.arcEnergyRules() {
		return &e
	}
	return s.heatInputOf(e)
}

// heatInputOf is nil for a process without a thermal efficiency.
func (s *Sheet) heatInputOf(e quantity.JoulesPerMetre) *quantity.JoulesPerMetre {
	k, listed := heat.ThermalEfficiency(s.job.Procedure.Process)
	if !listed {
		return nil
	}
	return new(heat.HeatInput(k, e))
}

// layerText says what a layer shows, and in which unit.
func (s *Sheet) layerText(of MapLayer, u Units) (title, unit string, decimals int) {
	set := u.set()
	switch of {
	case HeatLayer:
		if s.arcEnergyRules() {
			return "arc energy E, energy over path of all layers", set.heat, set.heatDigits - 1
		}
		return "heat input Q = k*E, energy over path of all layers", set.heat, set.heatDigits - 1
	case ArcLayer:
		return "arc-on time of all layers", "s", 1
	case EnergyLayer:
		return "arc energy of all layers", "kJ", 1
	}
	if u == US {
		return stockTitle(s.wall), "in", 3
	}
	return stockTitle(s.wall), "mm", 2
}

func stockTitle(m *bore.Map) string {
	if m.Bore.FinishDiameter > 0 {
		return "least radial stock over the finish diameter"
	}
	return "least build-up on the worn wall"
}

// stockOf is the stock of a cell, its build-up where no finish diameter is declared.
func stockOf(m *bore.Map) func(row, column int) quantity.Metres {
	if m.Bore.FinishDiameter > 0 {
		return m.Stock
	}
	return m.Height
}

// fieldText prints a field of a layer: a point for a gap, a dash for what is not known.
func (s *Sheet) fieldText(f fields, of MapLayer, row, column int, unit string, decimals int) string {
	sum, cells := f.sum(row, column)
	switch {
	case cells == 0:
		return "."
	case of == HeatLayer:
		return digits(in(s.heatOf(sum), unit), decimals)
	case of == ArcLayer:
		return digits(in(&sum.ArcTime, unit), decimals)
	case of == EnergyLayer:
		return digits(in(&sum.Energy, unit), decimals)
	}
	if f.notSeen(row, column) {
		return "?"
	}
	if least := f.least(row, column, stockOf(f.m)); least != nil {
		return digits(in(least, unit), decimals)
	}
	return "."
}

// notSeen reports whether data is missing in a field.
func (f fields) notSeen(row, column int) (missing bool) {
	f.each(row, column, func(r, c int) {
		missing = missing || !f.m.BesideGap(c) && f.m.At(r, c).NotSeen()
	})
	return missing
}

// cleanUpLines say whether the bore will clean up, where metal is missing, and
// what the answer rests on. The first line is the answer.
func cleanUpLines(c bore.CleanUp, u Units) (answer string, missing, unseen []string) {
	set := u.set()
	fine := func(q quantity.Metres) string { return quantity.Text(q, set.bore, set.boreDigits) }
	depth := func(q quantity.Metres) string { return quantity.Text(q, set.length, set.depth) }
	switch c.Answer {
	case "":
		return "Whether it will clean up is not known: " + c.Why + ".", nil, nil
	case bore.Enough:
		answer = "By calculation there is enough metal all round to clean up"
	case bore.NotSeen:
		answer = "By calculation there is enough metal to clean up wherever it was measured, but data is missing"
	case bore.Doubtful:
		answer = "Whether it will clean up is closer than can be told"
	default:
		answer = "By calculation it will not clean up: more metal is needed"
	}
	answer += fmt.Sprintf(". Least radial stock %s at %.0f deg, %s deep; less %s for a boring axis off the axis of the bore leaves %s, with an uncertainty of %s (k = 2).",
		fine(c.Least), math.Floor(float64(c.Place.Angle)), depth(c.Place.Depth), fine(c.Eccentricity), fine(c.Margin), fine(c.Expanded))
	for _, s := range c.Short {
		missing = append(missing, fmt.Sprintf("%s: least stock %s at %.0f deg, %s deep", rangeOf(s, set), fine(s.Least), math.Floor(float64(s.Place.Angle)),
			depth(s.Place.Depth)))
	}
	for _, s := range c.Unseen {
		unseen = append(unseen, rangeOf(s, set))
	}
	return answer, missing, unseen
}

// rangeOf says where a patch lies.
func rangeOf(s bore.Shortage, set unitSet) string {
	angles := "all round"
	if s.To-s.From < 360 {
		angles = fmt.Sprintf("from %.0f deg to %.0f deg", float64(s.From), float64(s.To))
	}
	return fmt.Sprintf("%s, %s to %s deep", angles, quantity.Text(s.FromDepth, set.length, set.depth), quantity.Text(s.ToDepth, set.length, set.depth))
}

// mapCautions say what a map can not know.
func mapCautions(m *bore.Map, c bore.CleanUp, u Units) []string {
	cautions := []string{
		"Heights are means over a cell, by conservation of volume on the curved wall. Valleys between beads, craters and cold starts lie deeper: measure before boring.",
		wireCaution(m, u.set().wire),
	}
	if c.BesideGap > 0 {
		cautions = append(cautions, "Planned gaps and what lies within 6 deg of one are not judged: look there.")
	}
	if c.Answer != "" {
		a := m.NewAllowance(c.Eccentricity)
		cautions = append(cautions, fmt.Sprintf("Uncertainty: deposition efficiency %s, wire %s, pitch %s (relative standard uncertainties), worn radius %s; the finish diameter is taken as exact.",
			quantity.Text(a.Efficiency, "%", 1), quantity.Text(a.Wire, "%", 1), quantity.Text(a.Pitch, "%", 1), quantity.Text(a.WornRadius, u.set().bore, u.set().boreDigits)))
	}
	if m.Beyond.ArcTime >= leastBeyond {
		cautions = append(cautions, fmt.Sprintf("%s of arc lies outside the map, or nobody knows where: its metal is not counted.", quantity.Text(m.Beyond.ArcTime, "s", 1)))
	}
	return cautions
}

// leastBeyond is the arc time outside of the map, in s, that is worth a word: less is
// the wire burning back at the end of a layer.
const leastBeyond = 0.1

// wireCaution says what the volume rests on.
func wireCaution(m *bore.Map, unit string) string {
	switch {
	case m.WireMeasured > 0 && m.WireDeclared > 0:
		return fmt.Sprintf("Volume rests on %s of measured wire and %s by the set-point of the wire speed, which nobody measured.",
			quantity.Text(m.WireMeasured, unit, 1), quantity.Text(m.WireDeclared, unit, 1))
	case m.WireMeasured > 0:
		return fmt.Sprintf("Volume rests on %s of measured wire, shared out over each pass by arc time and the wire speed that was read.", quantity.Text(m.WireMeasured, unit, 1))
	case m.WireDeclared > 0:
		return fmt.Sprintf("Volume rests on the set-point of the wire speed, %s in all: no wire was measured.", quantity.Text(m.WireDeclared, unit, 1))
	default:
		return "No wire is known, measured or set, so no volume."
	}
}
