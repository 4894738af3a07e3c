package capture

import "math"

// longRuns keeps the lengths in ns of standstills longer than most.
type longRuns struct {
	kept []int64
	next int
}

// keptRuns is how many lengths are kept; later ones take the place of earlier ones.
const keptRuns = 512

func (l *longRuns) add(length int64) {
	if len(l.kept) < keptRuns {
		l.kept = append(l.kept, length)
		return
	}
	l.kept[l.next] = length
	l.next = (l.next + 1) % keptRuns
}

// What it takes to see whether the clock of the refreshes runs on through holds.
const (
	fewestHolds   = 3
	mostIntervals = 30  // in a hold: beyond, the error of the interval blurs the phase
	onTime        = 0.4 // mean cosine from which on the holds end with an interval
)

// restarts reports whether the source begins a new refresh interval as the arc
// is struck, so that holds are of any length. Where its clock runs on, they are
// whole numbers of intervals r, which the mean cosine of their phases tells:
//
//	C = mean( cos(2*pi*length/r) )
//
// It is 1 for whole numbers and about 0 for any lengths.
func (l *longRuns) restarts(r float64, heldAfter int64) bool {
	var n, c float64
	for _, length := range l.kept {
		if length > heldAfter && float64(length) <= mostIntervals*r {
			n, c = n+1, c+math.Cos(2*math.Pi*float64(length)/r)
		}
	}
	return n >= fewestHolds && c/n < onTime
}
