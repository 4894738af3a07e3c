package now

import (
	"math"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/finding"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
)

// Turn is the turn that is being laid, cell by cell, as the map of the wall has
// it: only what the pass under way has put down. Where the torch has not come in
// this turn, the cell is that of the turn before, as far as it is of this pass.
type Turn struct {
	Pass, Layer, Number int              // no pass is 0; the first turn of a pass is 1
	Angle               quantity.Degrees // of the torch
	Cells               []Cell           // clockwise from the reference mark
	Sectors             []Sector         // where something deviates, in this turn and the one before
}

// Cell is one cell of a turn.
type Cell struct {
	From, To quantity.Degrees
	Planned  quantity.Ratio // share of the cell that is no planned gap
	Burned   quantity.Ratio // share of the cell over which the arc has burned so far
	Before   bool           // it is of the turn before
	ArcTime  quantity.Seconds
	Energy   quantity.Joules
	// ArcEnergy is energy over bead path, HeatInput k times that; nil where no
	// bead was laid, or k is not known.
	ArcEnergy, HeatInput *quantity.JoulesPerMetre
}

// Sector is a range of angles, in the direction of the torch, in which something
// deviates.
type Sector struct {
	From, To quantity.Degrees
	Rule     finding.Rule
	Finding  int // its number; 0 is in progress
}

// Turn returns the turn that is being laid.
func (w *Watch) Turn() (t Turn) {
	grid := w.wall.WithoutCells()
	p, under := w.torch.UnderWay()
	now, _ := w.torch.Now()
	at := w.torch.At(now.Tick).Place
	if grid == nil || !under || at == nil {
		return t
	}
	way := wayOf(w.torch.Went())
	t = Turn{Pass: p.Number, Layer: p.Layer, Number: 1 + int(math.Abs(w.torch.Went())), Angle: at.Angle}
	row := int(math.Floor(float64(at.Depth/grid.DepthStep) + hair))
	if row < 0 || row >= grid.Rows {
		return t
	}
	c := cells{watch: w, pass: &p, grid: grid}
	into := 360 * (float64(at.Depth/grid.DepthStep) - float64(row)) // degrees since the row began
	t.Cells = make([]Cell, grid.Columns)
	for k := range t.Cells {
		back := bore.NormalAngle(quantity.Degrees(way) * (at.Angle - grid.Centre(row, k).Angle))
		before := p.Pattern == bore.Helix && float64(back) > into
		t.Cells[k] = c.cell(row, k, before)
	}
	t.Sectors = w.sectors(&p, now, way)
	return t
}

// hair is how far before the edge of a row a ring may stand and be on it.
const hair = 1e-9

// cells makes the cells of a turn.
type cells struct {
	watch *Watch
	pass  *pass.Pass
	grid  *bore.Map
}

// cell is the cell of a column, of the row before where the torch has not come to
// it in this one.
func (c *cells) cell(row, column int, before bool) Cell {
	step := c.grid.AngleStep
	out := Cell{From: quantity.Degrees(column) * step, Before: before, Planned: quantity.Ratio(c.grid.WeldedShare(column))}
	out.To = out.From + step
	if before {
		row--
	}
	if row < 0 {
		return out
	}
	laid := c.watch.wall.Present(row, column)
	out.ArcTime, out.Energy = laid.ArcTime, laid.Energy
	turned := laid.Way
	if c.pass.TravelBasis != heat.TravelMeasured {
		n, _ := c.watch.torch.Turning()
		turned *= float64(n)
	}
	out.Burned = quantity.Ratio(min(1, turned*float64(c.grid.Columns)))
	if path := quantity.Metres(turned) * c.watch.torch.PathPerTurn(); path > 0 {
		e := heat.ArcEnergyOverLength(laid.Energy, path)
		out.ArcEnergy = &e
		if k, listed := heat.ThermalEfficiency(c.watch.job.Procedure.Process); listed {
			out.HeatInput = new(heat.HeatInput(k, e))
		}
	}
	return out
}

// turnsShown is how far back, in turns, deviations are shown.
const turnsShown = 2

// mostSectors bounds what a picture can show.
const mostSectors = 64

// sectors returns where something deviates, or has deviated in the last turns of
// the pass.
func (w *Watch) sectors(p *pass.Pass, now pass.Moment, way float64) (all []Sector) {
	speed := 0.0
	if p.Turns != nil && p.Elapsed > 0 {
		speed = *p.Turns / float64(p.Elapsed)
	}
	add := func(rule finding.Rule, number int, at *bore.Place, lasted quantity.Seconds) {
		if at != nil {
			turned := quantity.Degrees(way * min(360, 360*speed*float64(lasted)))
			all = append(all, Sector{From: at.Angle, To: bore.NormalAngle(at.Angle + turned), Rule: rule, Finding: number})
		}
	}
	_, off, _ := w.torch.Off()
	for _, o := range w.judge.Open(w.torch.At(now.Tick), off) {
		add(o.Rule, 0, o.Place, o.Lasted)
	}
	found := w.judge.Found()
	for k := len(found) - 1; k >= 0 && found[k].Pass == p.Number && len(all) < mostSectors; k-- {
		f := &found[k]
		if float64(now.Tick-f.Start.Tick)*1e-9*speed <= turnsShown {
			add(f.Rule, f.Number, f.Place, f.Duration)
		}
	}
	return all
}
