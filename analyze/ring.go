package analyze

import (
	"math"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/finding"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
)

// Ring returns the turn that is being laid. It costs as much whatever the length
// of the record.
func (r *Run) Ring() (g Ring) {
	shape := r.unrolled.mapper.Shape()
	p, under := r.splitter.UnderWay()
	now, _ := r.splitter.Now()
	at := r.splitter.At(now.Tick).Place
	if shape == nil || !under || at == nil {
		return g
	}
	w := wayOf(r.splitter.Went())
	g = Ring{Pass: p.Number, Layer: p.Layer, Turn: 1 + int(math.Abs(r.splitter.Went())), Angle: at.Angle}
	row := int(math.Floor(float64(at.Depth/shape.DepthStep) + hair))
	if row < 0 || row >= shape.Rows {
		return g
	}
	c := ringCells{run: r, pass: &p, shape: shape}
	into := 360 * (float64(at.Depth/shape.DepthStep) - float64(row)) // degrees since the row began
	g.Cells = make([]RingCell, shape.Columns)
	for k := range g.Cells {
		back := bore.NormalAngle(quantity.Degrees(w) * (at.Angle - shape.Centre(row, k).Angle))
		before := p.Pattern == bore.Helix && float64(back) > into
		g.Cells[k] = c.cell(row, k, before)
	}
	g.Arcs = r.ringArcs(&p, now, w)
	return g
}

// hair is how far before the edge of a row a ring may stand and be on it.
const hair = 1e-9

// ringCells makes cells of a pass.
type ringCells struct {
	run   *Run
	pass  *pass.Pass
	shape *bore.Map
}

// cell is the cell of a column, of the row before where the torch has not come to
// it in this one.
func (c *ringCells) cell(row, column int, before bool) RingCell {
	step := c.shape.AngleStep
	out := RingCell{From: quantity.Degrees(column) * step, Before: before, Planned: quantity.Ratio(c.shape.WeldedShare(column))}
	out.To = out.From + step
	if before {
		row--
	}
	if row < 0 {
		return out
	}
	laid := c.run.unrolled.mapper.Present(row, column)
	out.ArcTime, out.Energy = laid.ArcTime, laid.Energy
	turned := laid.Way
	if c.pass.TravelBasis != heat.TravelMeasured {
		n, _ := c.run.splitter.Turning()
		turned *= float64(n)
	}
	out.Burned = quantity.Ratio(min(1, turned*float64(c.shape.Columns)))
	if path := quantity.Metres(turned) * c.run.splitter.PathPerTurn(); path > 0 {
		e := heat.ArcEnergyOverLength(laid.Energy, path)
		out.ArcEnergy = &e
		if k, listed := heat.ThermalEfficiency(c.run.job.Procedure.Process); listed {
			out.HeatInput = new(heat.HeatInput(k, e))
		}
	}
	return out
}

// ringTurns is how far back, in turns, deviations are shown.
const ringTurns = 2

// mostArcs bounds what a picture can show.
const mostArcs = 64

// ringArcs returns where something deviates, or has deviated in the last turns of
// the pass.
func (r *Run) ringArcs(p *pass.Pass, now pass.Moment, way float64) (arcs []RingArc) {
	speed := 0.0
	if p.Turns != nil && p.Elapsed > 0 {
		speed = *p.Turns / float64(p.Elapsed)
	}
	arc := func(rule finding.Rule, number int, at *bore.Place, lasted quantity.Seconds) {
		if at != nil && len(arcs) < mostArcs {
			turned := quantity.Degrees(way * min(360, 360*speed*float64(lasted)))
			arcs = append(arcs, RingArc{From: at.Angle, To: bore.NormalAngle(at.Angle + turned), Rule: rule, Finding: number})
		}
	}
	_, off, _ := r.splitter.Off()
	for _, o := range r.watch.Open(r.splitter.At(now.Tick), off) {
		arc(o.Rule, 0, o.Place, o.Lasted)
	}
	found := r.watch.Found()
	for k := len(found) - 1; k >= 0 && found[k].Pass == p.Number && len(arcs) < mostArcs; k-- {
		f := &found[k]
		if float64(now.Tick-f.Start.Tick)*1e-9*speed <= ringTurns {
			arc(f.Rule, f.Number, f.Place, f.Duration)
		}
	}
	return arcs
}
