package capture

import "math"

// still is what the standstills of voltage and current tell of the source.
type still struct {
	refresh   int64 // ns; 0 where values change with the rows
	heldAfter int64 // ns; 0 where no standstill proves that it is held
	// mayBeAfter is the time in ns that is longer than chance; 0 where none is, and
	// where all that are longer are held.
	mayBeAfter int64
	heldArc    int64 // ns of a held standstill that count as arc
}

// forever is longer than any capture, in ns or rows.
const forever = 1e18

const (
	fewRuns = 5 // fewer standstills tell nothing
	// At first half of the standstills are taken to be no longer than a few
	// refresh intervals. Where that finds rows only, damage may have cut more
	// than half of the standstills short, and most of them are taken.
	halfRuns, mostRuns = 0.5, 0.8
)

// stoodStill estimates the refresh interval and the time after which a
// standstill is held. Step is the median step in ns.
func (m *measure) stoodStill(step float64) still {
	runs := &m.both.runs
	if runs.n < fewRuns {
		return still{}
	}
	r := m.rhythm(step)
	if r <= rowsOnly*step || m.levels.ofWave() {
		return m.proved(still{heldAfter: m.heldWithoutRhythm(step)}, max(step, lookEvery))
	}
	s := m.proved(still{
		refresh:   int64(math.Round(r)),
		heldAfter: int64(math.Round((runs.leastHeld(r)-0.5)*r + step)),
	}, r)
	s.heldArc = s.refresh
	if m.both.long.restarts(r, max(s.heldAfter, s.mayBeAfter)) {
		s.heldArc /= 2
	}
	return s
}

// alike is the most by which the intervals of two channels differ as shares
// where they are one.
const alike = 0.1

// rhythm returns the refresh interval in ns. Voltage and current that are
// refreshed in turn change more often together than each of them does.
func (m *measure) rhythm(step float64) float64 {
	if v, i := m.volts.runs.rhythm(step), m.amps.runs.rhythm(step); v > 0 && math.Abs(v-i) <= alike*v {
		return (v + i) / 2
	}
	return m.both.runs.rhythm(step)
}

// A refresh interval is accepted where standstills about as long, from
// narrow times to wide times it, make up most of the time of those that are
// not much longer.
const (
	narrow, wide = 0.78, 1.28
	shorter      = 1.5 // times the interval: no multiple of it yet
	several      = 2.5 // times the usual standstill
	ofShorter    = 0.6
	ofSeveral    = 0.4
	// Where values repeat often, fewer standstills are one interval long.
	ofSeveralWeak = 0.12
	leastRows     = 3   // in an interval that is accepted on the weak condition
	rowsOnly      = 1.5 // steps; an interval that is no longer is none
)

// rhythm returns the length in ns of the standstills that are one refresh
// interval long, 0 where there is no such length.
//
// A share of time, not of number, is asked for, since rows of several writers
// leave many standstills of a row or two.
func (h *histogram) rhythm(step float64) float64 {
	r := h.rhythmBelow(several*h.quantile(halfRuns), step)
	if r <= rowsOnly*step {
		if slow := h.rhythmBelow(several*h.quantile(mostRuns), step); slow > leastRows*step {
			return slow
		}
	}
	return r
}

func (h *histogram) rhythmBelow(usual, step float64) float64 {
	for _, share := range []float64{ofSeveral, ofSeveralWeak} {
		for b := range h.count {
			if h.count[b] == 0 {
				continue
			}
			c := h.sum[b] / float64(h.count[b])
			if c > usual || share == ofSeveralWeak && c < leastRows*step {
				continue
			}
			if best, ok := h.accept(c, usual, share); ok {
				return best
			}
		}
	}
	return 0
}

// accept tests a candidate and returns the mean of the standstills around it.
func (h *histogram) accept(c, usual, share float64) (float64, bool) {
	_, all := h.between(0, usual)
	_, below := h.between(0, shorter*c)
	n, sum := h.between(narrow*c, wide*c)
	if sum < ofShorter*below || sum < share*all {
		return 0, false
	}
	// The first candidate that passes lies at the lower edge of the cluster.
	for range 3 {
		c = sum / float64(n)
		n, sum = h.between(narrow*c, wide*c)
	}
	return sum / float64(n), true
}

// Bounds of a hold where values change with the rows: long enough that the
// slowest display has changed, and many rows where rows are fast.
const (
	leastHold     = 0.5e9 // ns
	leastHoldRows = 2000  // or this many rows, where that is shorter
	leastRun      = 20    // rows at the very least
	falls         = 4     // the fall of the standstills' number may slow down by this at most
)

// heldWithoutRhythm returns the time in ns that is longer than any standstill
// by chance, and 0 where no standstill is. Chance lets the number S of
// standstills of x rows or more fall as
//
//	S(x) = S(x0) * exp(-lambda*(x-x0))
//
// with a lambda that changes little from one doubling of x to the next; holds
// make it change suddenly.
func (m *measure) heldWithoutRhythm(step float64) int64 {
	above := func(x int) float64 {
		n, _ := m.both.rows.between(float64(x), forever)
		return float64(n)
	}
	lambda, x, former := 0.0, 1, above(1)
	for former > 0 {
		s := above(2 * x)
		next := math.Log(former/max(s, 1)) / float64(x)
		if lambda > 0 && next < lambda/falls {
			break
		}
		lambda, x, former = next, 2*x, s
		if s < 2*enoughToCount {
			break
		}
	}
	if lambda <= 0 {
		return 0
	}
	rows := float64(x) + math.Log(max(former, 1)/expectedFalse)/lambda
	held := max(rows*step, leastRun*step, min(leastHold, leastHoldRows*step))
	if m.both.runs.largest() < held {
		return 0
	}
	return int64(math.Round(held))
}
