package pass

import (
	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/harmonic"
	"arctally/analyze/heat"
	"arctally/analyze/procedure"
)

// RotationSource names what a rotation was found from.
type RotationSource string

// What a rotation was found from.
const (
	FromCounts  RotationSource = "turn counts"
	FromGaps    RotationSource = "gap rhythm"     // the arc out at the planned gaps, once a turn
	FromCurrent RotationSource = "current rhythm" // the once-a-turn swing of the current
	FromPlan    RotationSource = "plan"
)

// Rotation is how fast the torch turned in a pass, and how that is known.
type Rotation struct {
	Speed       quantity.TurnsPerSecond // mean over the pass; 0 is not known
	Uncertainty quantity.TurnsPerSecond // standard, of Speed; 0 is not known
	Declared    quantity.TurnsPerSecond // 0 is not declared
	Basis       heat.TravelBasis
	From        RotationSource
	Wander      quantity.Degrees // derived: how far from an even rotation the torch was, root mean square
	Searched    float64          // turns in which a rhythm was looked for; 0 is nowhere
}

const (
	// The current is kept at 20 Hz for as long as it fits, then coarser: 2048
	// points are two turns of 48 s at full rate, or 100 at 20 points, and that is
	// still enough for the noise between the harmonics.
	rhythmGrain  = 50_000_000
	rhythmPoints = 2048
	// A derived rotation is used where it is better known than this; a declared
	// one that nobody measured is good to 2.9 % (package heat). Ours; no source.
	worthwhile = 0.02
	// How many more turns, or gaps, there must be before the search is repeated
	// within a pass.
	again = 2
)

// rhythm looks for the torch's rotation in a pass without turn counts. Its turns
// are those that the declared rotation makes of the time since the pass began.
type rhythm struct {
	job      *procedure.Job
	series   harmonic.Series
	outs     []span
	at       float64 // turns at which the search is made next
	after    float64 // gaps, the same
	searched bool
	turns    float64
}

// estimate is the true rotation as a multiple of the declared one.
type estimate struct {
	order, uncertainty float64
	wander             float64 // turns
	from               RotationSource
}

func newRhythm(job *procedure.Job) rhythm {
	return rhythm{job: job, series: harmonic.NewSeries(rhythmGrain, rhythmPoints)}
}

// begin forgets the pass before. Only a helix has a rhythm: a ring is over after
// one turn, and strokes go back and forth.
func (r *rhythm) begin(wanted bool, tick int64) {
	r.series.Reset()
	r.series.Strike(tick)
	r.outs = r.outs[:0]
	r.searched = wanted && r.job.Deposit.Pattern == bore.Helix && r.job.Rotation.Speed > 0
	r.at, r.after, r.turns = harmonic.LeastTurns, leastOuts, 0
}

// burn takes the current of a bucket that ends at a number of declared turns,
// and reports whether it is time to search.
func (r *rhythm) burn(b *Bucket, turns, perNS float64) bool {
	if !r.searched || b.Arc <= 0 {
		return false
	}
	half := float64(b.End-b.Start) / 2
	p := harmonic.Point{Start: b.Start, End: b.End, At: float64(b.End) - half, Turns: turns - half*perNS, Weight: float64(b.Arc)}
	p.Mean[0] = b.I / p.Weight
	r.series.Add(p)
	r.turns = turns
	if turns < r.at {
		return false
	}
	r.at = turns * again
	return true
}

// out takes a time without arc, in declared turns.
func (r *rhythm) out(from, to float64) bool {
	if !r.searched || len(r.outs) >= mostOuts {
		return false
	}
	r.outs = append(r.outs, span{from, to})
	if float64(len(r.outs)) < r.after {
		return false
	}
	r.after = float64(len(r.outs)) * again
	return true
}

// estimate returns the best that is known now.
func (r *rhythm) estimate() (best estimate, ok bool) {
	if !r.searched {
		return best, false
	}
	if e, found := r.ofGaps(); found {
		best, ok = e, true
	}
	if e, found := r.ofCurrent(); found && (!ok || e.relative() < best.relative()) {
		best, ok = e, true
	}
	return best, ok && best.relative() < worthwhile
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
