package now

import (
	"math"

	"arctally/acquire/quantity"
	"arctally/analyze/bead"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
)

// TrailStep is the angle that a cell of the trail goes over; it is that of the map.
const TrailStep quantity.Degrees = 5

// TrailCell is what one turn of a pass has laid in one cell of the wall.
type TrailCell struct {
	Pass, Layer, Turn    int // the layer is 0 where it is not known; the turn counts from 1 with each pass
	Epoch                int
	Start, Until         int64 // ticks
	From, To             quantity.Degrees
	Depth                quantity.Metres          // of its middle
	ArcEnergy, HeatInput *quantity.JoulesPerMetre // nil is not known
}

// Trail keeps what was laid, cell by cell, until it is asked for. It is a bead.Taker.
type Trail struct {
	job   *procedure.Job
	torch Torch // nil keeps nothing
	ready []TrailCell

	pass  *pass.Pass
	began float64 // turns
	open  trailSum
}

// trailSum is the cell that is being laid.
type trailSum struct {
	any          bool
	turn, column int
	start, until int64
	shallow      quantity.Metres // the least and the greatest depth
	deep         quantity.Metres
	energy       float64 // J
	way          float64 // turns in arc; s in arc where the turns are not counted
	measured     bool
}

// NewTrail returns a trail that keeps nothing until Follow is called.
func NewTrail(job *procedure.Job) *Trail { return &Trail{job: job} }

// Follow begins to keep, by what the torch knows.
func (t *Trail) Follow(torch Torch) { t.torch = torch }

// Drain hands out what is ready, and keeps none of it.
func (t *Trail) Drain() []TrailCell {
	ready := t.ready
	t.ready = nil
	return ready
}

// Begin implements bead.Taker.
func (t *Trail) Begin(p *pass.Pass, turns float64) { t.pass, t.began = p, turns }

// Take implements bead.Taker. A piece belongs to the cell that its middle lies in.
func (t *Trail) Take(p *bead.Piece) {
	if t.torch == nil || p.Place == nil || p.Arc <= 0 {
		return
	}
	turn := 1 + int(math.Abs((p.From+p.To)/2-t.began))
	column := int(bore.NormalAngle(p.Place.Angle) / TrailStep)
	if o := &t.open; !o.any || o.turn != turn || o.column != column {
		t.close()
		*o = trailSum{any: true, turn: turn, column: column, start: p.Start, shallow: p.Place.Depth, deep: p.Place.Depth}
	}
	o := &t.open
	o.until, o.measured = p.Start, p.Basis == heat.TravelMeasured
	o.shallow, o.deep = min(o.shallow, p.Place.Depth), max(o.deep, p.Place.Depth)
	o.energy += p.Energy * 1e-9
	if o.measured {
		o.way += p.Turned()
	} else {
		o.way += p.Arc * 1e-9
	}
}

// End implements bead.Taker.
func (t *Trail) End(*pass.Pass) { t.close() }

// close makes the cell that was laid ready.
func (t *Trail) close() {
	o := t.open
	if t.open = (trailSum{}); !o.any {
		return
	}
	c := TrailCell{
		Pass: t.pass.Number, Layer: t.pass.Layer, Turn: o.turn, Epoch: t.pass.Start.Epoch, Start: o.start, Until: o.until,
		From: quantity.Degrees(o.column) * TrailStep, Depth: (o.shallow + o.deep) / 2,
	}
	c.To = c.From + TrailStep
	turned := o.way
	if !o.measured {
		n, _ := t.torch.Turning()
		turned *= float64(n)
	}
	if path := quantity.Metres(turned) * t.torch.PathPerTurn(); path > 0 {
		c.ArcEnergy = new(heat.ArcEnergyOverLength(quantity.Joules(o.energy), path))
		if k, listed := heat.ThermalEfficiency(t.job.Procedure.Process); listed {
			c.HeatInput = new(heat.HeatInput(k, *c.ArcEnergy))
		}
	}
	t.ready = append(t.ready, c)
}
