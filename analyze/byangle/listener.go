package byangle

import (
	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/harmonic"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
)

const (
	grain  = 50_000_000 // ns
	points = 8192       // 20 turns at 400 points
)

// The channels of a point.
const (
	voltage = iota
	current
	power
	wire
)

// Watch sums up the arc by angle. It is a pass.Listener; found is called with
// each sweep that is complete, before the End of its last pass returns where no
// other pass can belong to it.
type Watch struct {
	job    *procedure.Job
	found  func(Sweep)
	sweeps []Sweep

	series harmonic.Series

	open        bool // a sweep has passes
	layer       int
	first, last int
	basis       heat.TravelBasis
	start       pass.Moment
	depth       quantity.Metres
	wander      quantity.Degrees
	speed       float64          // of the wire, m/s, as last read
	base        float64          // turns of the sweep before the present ring
	from        int64            // tick at which the present pass began
	begun       int              // points of the sweep before the present pass
	before      float64          // turns at the last bucket
	zero        float64          // turns at the start angle
	astray      quantity.Degrees // standard uncertainty of the angles, by what they rest on
}

// NewWatch returns a watch for a job whose procedure is filled in. Found
// is told of each sweep.
func NewWatch(job *procedure.Job, found func(Sweep)) *Watch {
	return &Watch{job: job, found: found, series: harmonic.NewSeries(grain, points)}
}

// WireSpeed takes a reading of the wire feed in m/s.
func (w *Watch) WireSpeed(speed float64) { w.speed = speed }

// Sweeps returns the sweeps that are complete so far.
func (w *Watch) Sweeps() []Sweep { return w.sweeps }

// Begin implements pass.Listener.
func (w *Watch) Begin(p *pass.Pass, at pass.Position) {
	if w.open && p.Layer != w.layer {
		w.Finish()
	}
	if !w.open {
		w.series.Reset()
		w.open, w.layer, w.first, w.base, w.start, w.depth, w.astray = true, p.Layer, p.Number, 0, p.Start, 0, 0
		if p.StartPlace != nil {
			w.depth = p.StartPlace.Depth
		}
	}
	w.last, w.from, w.begun, w.zero = p.Number, p.Start.Tick, len(w.series.Points()), at.Zero
	if at.Place != nil {
		w.astray = max(w.astray, at.Place.AngleUncertainty/2)
	}
	w.strike(at)
}

// Resume implements pass.Listener.
func (w *Watch) Resume(_, to pass.Position, _ quantity.Seconds) { w.strike(to) }

func (w *Watch) strike(at pass.Position) {
	w.before = at.Turns
	w.series.Strike(at.Tick)
}

// Burn implements pass.Listener.
func (w *Watch) Burn(b *pass.Bucket) {
	before := w.before
	w.before, w.basis = b.Turns, b.TurnsBasis
	if b.Arc <= 0 || b.TurnsBasis == "" {
		return
	}
	weight := float64(b.Arc)
	p := harmonic.Point{
		Start: b.Start, End: b.End, At: float64(b.Start+b.End) / 2, Turns: w.base + (before+b.Turns)/2 - w.zero, Weight: weight,
		Mean: [harmonic.Channels]float64{voltage: b.V / weight, current: b.I / weight, power: b.Energy / weight},
	}
	p.Mean[wire] = w.speed
	w.series.Add(p)
}

// Rest implements pass.Listener.
func (w *Watch) Rest(pass.Position) { w.series.Rest() }

// End implements pass.Listener.
func (w *Watch) End(p *pass.Pass) {
	w.basis, w.wander = p.TravelBasis, p.Rotation.Wander
	rings := w.job.Deposit.Pattern == bore.Rings
	switch {
	case w.basis == heat.TravelDerived:
		w.turnBySpeed(float64(p.Rotation.Speed))
		w.Finish()
	case rings && w.basis == heat.TravelDeclared:
		w.base++
	case !rings && w.basis == heat.TravelDeclared:
		w.open = false // nobody knows where the torch was
	case !rings && p.Turns != nil && p.Layer == 0:
		w.Finish()
	}
}

// turnBySpeed gives the points of a pass the turns that a rotation makes of
// their time; until the pass was over, they had those that were assumed then.
func (w *Watch) turnBySpeed(speed float64) {
	all := w.series.Points()
	for k := w.begun; k < len(all); k++ {
		all[k].Turns = speed * (all[k].At - float64(w.from)) * 1e-9
	}
}

// Finish completes the sweep that is open.
func (w *Watch) Finish() {
	if !w.open {
		return
	}
	w.open = false
	if all := w.series.Points(); len(all) > 0 && w.job.Deposit.Pattern != bore.Straight {
		s := w.sweep(all)
		w.sweeps = append(w.sweeps, s)
		w.found(s)
	}
}
