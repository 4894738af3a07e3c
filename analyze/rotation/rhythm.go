package rotation

import (
	"arctally/analyze/bore"
	"arctally/analyze/harmonic"
	"arctally/analyze/procedure"
)

const (
	// The current is kept at 20 Hz for as long as it fits, then coarser: 2048
	// points are two turns of 48 s at full rate, or 100 at 20 points, and that is
	// still enough for the noise between the harmonics.
	rhythmGrain  = 50_000_000
	rhythmPoints = 2048
	// A derived rotation is used where it is better known than this; a declared
	// one that nobody measured is good to 2.9 % (package heat). Ours; no source.
	usable = 0.02
	// How many times as many turns, or gaps, there must be before the search is
	// repeated within a pass.
	searchGrowth = 2
)

// rhythm looks for the torch's rotation in a pass without turn counts, on the dial
// turns of the pass.
type rhythm struct {
	job      *procedure.Job
	series   harmonic.Series
	outages  []outage
	nextAt   float64 // dial turns at which the search is made next
	nextOut  float64 // outages, the same
	searched bool
	turns    float64
}

// estimate is the true rotation as a multiple of the declared one.
type estimate struct {
	order, uncertainty float64
	wander             float64 // turns
	from               Origin
}

func newRhythm(job *procedure.Job) rhythm {
	return rhythm{job: job, series: harmonic.NewSeries(rhythmGrain, rhythmPoints)}
}

// begin forgets the pass before. Only a helix has a rhythm: a ring is over after
// one turn, and strokes go back and forth.
func (r *rhythm) begin(wanted bool, tick int64) {
	r.series.Reset()
	r.series.Strike(tick)
	r.outages = r.outages[:0]
	r.searched = wanted && r.job.Deposit.Pattern == bore.Helix && r.job.Rotation.Speed > 0
	r.nextAt, r.nextOut, r.turns = harmonic.LeastTurns, leastOutages, 0
}

// Hear takes the charge in A*ns that flowed from a tick to another one, arc ns of it
// in arc, and derives the rotation anew as soon as enough has come. What was placed
// before that is set right by Settle. It returns what At does of the tick then.
func (t *Torch) Hear(start, end, arc int64, charge float64) Turned {
	dial := 0.0
	if t.measured {
		at, step := t.counts.where(end, t)
		t.stand(step)
		dial = t.dialOf(at)
	} else {
		dial = t.Dial(end)
		if t.rhythm.hear(start, end, arc, charge, dial, t.declared) {
			t.derive()
		}
	}
	return t.Of(dial)
}

// hear takes the current up to where the torch has made so many dial turns, at so
// many in a ns, and reports whether it is time to search.
func (r *rhythm) hear(start, end, arc int64, charge, turns, perNS float64) bool {
	if !r.searched || arc <= 0 {
		return false
	}
	half := float64(end-start) / 2
	p := harmonic.Point{Start: start, End: end, At: float64(end) - half, Turns: turns - half*perNS, Weight: float64(arc)}
	p.Mean[0] = charge / p.Weight
	r.series.Add(p)
	r.turns = turns
	if turns < r.nextAt {
		return false
	}
	r.nextAt = turns * searchGrowth
	return true
}

// Outage says that the arc was out from one tick to another within the pass, and
// is struck there; seen is set where no data is missing between them.
func (t *Torch) Outage(from, to int64, seen bool) {
	t.rhythm.series.Strike(to)
	if seen && t.rhythm.out(outage{t.Dial(from), t.Dial(to)}) {
		t.derive()
	}
}

// out takes an outage, and reports whether it is time to search.
func (r *rhythm) out(o outage) bool {
	if !r.searched || len(r.outages) >= mostOutages {
		return false
	}
	r.outages = append(r.outages, o)
	if float64(len(r.outages)) < r.nextOut {
		return false
	}
	r.nextOut = float64(len(r.outages)) * searchGrowth
	return true
}

func (t *Torch) derive() {
	if e, ok := t.rhythm.estimate(); ok {
		t.derived = e
	}
}

// estimate returns the best that is known now.
func (r *rhythm) estimate() (best estimate, ok bool) {
	if e, found := r.ofGaps(); found {
		best, ok = e, true
	}
	if e, found := r.ofCurrent(); found && (!ok || e.relative() < best.relative()) {
		best, ok = e, true
	}
	return best, ok && best.relative() < usable
}

func (e estimate) relative() float64 { return e.uncertainty / e.order }

func (r *rhythm) ofCurrent() (estimate, bool) {
	var c harmonic.Curve
	for _, p := range r.series.Points() {
		c.Add(p.Turns, p.Mean[0], p.Weight)
	}
	found, ok := c.FindRhythm()
	return estimate{found.Order, found.Uncertainty, found.Wander, FromCurrent}, ok
}
