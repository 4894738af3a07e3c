package clock

import (
	"math"
	"time"
)

// The limits of the fit (sensor-link, "Clock").
const (
	bucketWidth = int64(500 * time.Millisecond)
	window      = int64(120 * time.Second)
	// maxDrift is far beyond any quartz: what is steeper is delay, not drift.
	maxDrift = 500e-6
	// longestSilence is twice the time between two descriptions of a box: a
	// longer one is a gap, over which nobody knows what its clock did.
	longestSilence = int64(10 * time.Second)
)

// point is one arrival, in ns after the first of its fit.
type point struct{ tick, arrival float64 }

// delay is how late the point is, up to a constant.
func (p point) delay() float64 { return p.arrival - p.tick }

// Tracker follows the clock of one source. The zero value is ready for use.
type Tracker struct {
	started bool
	epoch   int
	first   int64     // ns, the tick of the first arrival
	origin  time.Time // the first arrival
	last    int64     // ns, the tick of the newest arrival
	newest  time.Time
	buckets []point // the least delayed of each half second, oldest first
	bucket  int64   // the number of the newest one
	hull    []point // storage
}

// Observe takes the tick of the newest sample in the bytes that arrived at a
// host time. It begins anew where epoch is another one, tick goes back, or
// comes after a gap.
func (t *Tracker) Observe(epoch int, tick int64, arrival time.Time) {
	if !t.started || epoch != t.epoch || tick < t.last || tick-t.last > longestSilence {
		*t = Tracker{started: true, epoch: epoch, first: tick, origin: arrival, buckets: t.buckets[:0], hull: t.hull[:0]}
	}
	t.last, t.newest = tick, arrival
	t.keep(point{float64(tick - t.first), float64(arrival.Sub(t.origin))}, (tick-t.first)/bucketWidth)
}

// keep puts a point into its bucket if none there was less delayed.
func (t *Tracker) keep(p point, bucket int64) {
	n := len(t.buckets)
	if n > 0 && bucket == t.bucket {
		if p.delay() < t.buckets[n-1].delay() {
			t.buckets[n-1] = p
		}
		return
	}
	t.bucket = bucket
	t.buckets = append(t.buckets, p)
	old := 0
	for t.buckets[old].tick < p.tick-float64(window) {
		old++
	}
	t.buckets = append(t.buckets[:0], t.buckets[old:]...)
}

// Fit returns the map as it is known now; false before the first arrival.
func (t *Tracker) Fit() (Fit, bool) {
	if !t.started {
		return Fit{}, false
	}
	slope, offset := t.line()
	at := float64(t.last - t.first)
	return Fit{
		Epoch:   t.epoch,
		Tick:    t.last,
		Wall:    t.origin.Add(time.Duration(math.Round(offset + at*slope))),
		Slope:   slope,
		Arrival: t.newest,
	}, true
}

// line returns slope and offset of the line below all points that lies closest
// to them: the edge of the lower hull over their mean tick, or, where that is
// too steep to be drift, the steepest line that can be.
func (t *Tracker) line() (slope, offset float64) {
	t.hull = lowerHull(t.hull[:0], t.buckets)
	slope = 1
	if len(t.hull) > 1 {
		a, b := edgeOver(t.hull, meanTick(t.buckets))
		slope = (b.arrival - a.arrival) / (b.tick - a.tick)
		slope = min(max(slope, 1-maxDrift), 1+maxDrift)
	}
	offset = math.Inf(1)
	for _, p := range t.hull {
		offset = min(offset, p.arrival-slope*p.tick)
	}
	return slope, offset
}

func meanTick(points []point) float64 {
	sum := 0.0
	for _, p := range points {
		sum += p.tick
	}
	return sum / float64(len(points))
}

// lowerHull appends the corners of the lower convex hull of points, which are
// in the order of their ticks (monotone chain).
func lowerHull(hull, points []point) []point {
	for _, p := range points {
		for len(hull) > 1 && !isLeftTurn(hull[len(hull)-2], hull[len(hull)-1], p) {
			hull = hull[:len(hull)-1]
		}
		hull = append(hull, p)
	}
	return hull
}

// isLeftTurn reports whether b lies below the line from a to c. Delays are
// compared in place of arrivals: they are small, and lose no digits.
func isLeftTurn(a, b, c point) bool {
	return (b.delay()-a.delay())*(c.tick-a.tick) < (c.delay()-a.delay())*(b.tick-a.tick)
}

// edgeOver returns the two corners between which tick lies.
func edgeOver(hull []point, tick float64) (a, b point) {
	k := 1
	for k < len(hull)-1 && hull[k].tick < tick {
		k++
	}
	return hull[k-1], hull[k]
}
