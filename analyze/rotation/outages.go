package rotation

import (
	"math"

	"arctally/analyze/bore"
)

// outage is a time without arc, in dial turns.
type outage struct{ from, to float64 }

// How an outage is known for a planned gap. Ours; common practice, no
// source.
const (
	slowestTurn  = 0.72 // of the declared rotation; twice of it lies outside on purpose
	fastestTurn  = 1.38
	leastOutages = 3   // outages before there is a rhythm
	mostOutages  = 256 // what comes after them cannot make it better
	widthSpare   = 8.0 // degrees by which the arc may be out too long or too short
	widthShare   = 0.2 // and the share of the gap
	sameAngle    = 8.0 // degrees around the mean within which it is the same gap
	leastShare   = 0.6 // of the outages must be planned gaps
	// edgeTime is by how much, in s, the arc goes out and is struck at another
	// time each turn, at least.
	edgeTime = 0.02
)

// crossing is an outage that is taken for a gap.
type crossing struct {
	out  outage
	turn float64 // whole turns and the angle of the gap
}

// ofGaps derives the rotation from the outages.
func (r *rhythm) ofGaps() (best estimate, ok bool) {
	if len(r.outages) < leastOutages || len(r.job.Deposit.Gaps) == 0 {
		return best, false
	}
	reach := r.outages[len(r.outages)-1].to
	order, most := 0.0, 0.0
	for q := slowestTurn; q <= fastestTurn; q += 0.05 / reach {
		if x, y := r.concentration(q); math.Hypot(x, y) > most {
			most, order = math.Hypot(x, y), q
		}
	}
	matched := r.crossings(order)
	if len(matched) < leastOutages || float64(len(matched)) < leastShare*float64(len(r.outages)) {
		return best, false
	}
	return fitCrossings(matched, edgeTime*float64(r.job.Rotation.Speed))
}

// match returns how far from the gap that an outage fits best at an order, in
// turns, the torch was when the arc went out.
func (r *rhythm) match(out outage, order float64) (off float64, ok bool) {
	width := order * (out.to - out.from) * 360
	for _, g := range r.job.Deposit.Gaps {
		planned := float64(g.Width())
		if math.Abs(width-planned) > widthSpare+widthShare*planned {
			continue
		}
		d := r.distance(g, out.from, order)
		if !ok || math.Abs(d) < math.Abs(off) {
			off, ok = d, true
		}
	}
	return off, ok
}

// distance returns by how much of a turn the torch is past the start of a gap.
func (r *rhythm) distance(g bore.Gap, turns, order float64) float64 {
	x := order*turns + float64(r.job.Rotation.StartAngle-g.From)/360
	return x - math.Round(x)
}

// concentration is the sum of the directions of all gaps, each as far from its
// plan as it was found: long where all are at the same distance.
func (r *rhythm) concentration(order float64) (x, y float64) {
	for _, out := range r.outages {
		if off, ok := r.match(out, order); ok {
			sin, cos := math.Sincos(2 * math.Pi * off)
			x, y = x+cos, y+sin
		}
	}
	return x, y
}

// crossings returns the outages that are gaps, one turn after another.
func (r *rhythm) crossings(order float64) (found []crossing) {
	x, y := r.concentration(order)
	phase := math.Atan2(y, x) / (2 * math.Pi)
	for _, out := range r.outages {
		off, ok := r.match(out, order)
		off -= phase
		off -= math.Round(off)
		if ok && math.Abs(off) <= sameAngle/360 {
			found = append(found, crossing{out, order*out.from - off})
		}
	}
	return found
}

// fitCrossings returns the slope of the turns over the declared turns, by least
// squares with one level for the edges at which the arc goes out and another for
// those at which it is struck.
func fitCrossings(found []crossing, edge float64) (estimate, bool) {
	n := float64(len(found))
	var turn, from, to float64
	for _, c := range found {
		turn, from, to = turn+c.turn/n, from+c.out.from/n, to+c.out.to/n
	}
	var tt, tf, to2 float64
	for _, c := range found {
		d := c.turn - turn
		tt, tf, to2 = tt+d*d, tf+d*(c.out.from-from), to2+d*(c.out.to-to)
	}
	if first, last := found[0].turn, found[len(found)-1].turn; last-first < leastOutages-1-0.1 {
		return estimate{}, false // three gaps in one turn are no rhythm
	}
	slope := (tf + to2) / (2 * tt) // declared turns in a true one
	rest := 0.0
	for _, c := range found {
		d := (c.turn - turn) * slope
		rest += square(c.out.from-from-d) + square(c.out.to-to-d)
	}
	scatter := math.Sqrt(rest / (2*n - 3))
	if scatter > uneven*edge {
		return meanCrossings(found, scatter), true
	}
	return estimate{1 / slope, math.Hypot(scatter, edge) / math.Sqrt(2*tt) / (slope * slope), scatter / slope, FromGaps}, true
}

// uneven is how many times edgeTime the gaps may come early or late while the
// torch is taken to turn evenly.
const uneven = 3

// meanCrossings returns the mean rotation from the first gap to the last, for a
// torch that does not turn evenly: a line through all of them would weigh the
// middle most.
func meanCrossings(found []crossing, scatter float64) estimate {
	first, last := found[0], found[len(found)-1]
	order := 2 * (last.turn - first.turn) / (last.out.from - first.out.from + last.out.to - first.out.to)
	return estimate{order, scatter * math.Sqrt2 / (last.out.from - first.out.from) * order, scatter * order, FromGaps}
}

func square(x float64) float64 { return x * x }
