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
	// surelySeen is how long arrivals must have been seen for a slope beyond maxDrift
	// to be that of the clock: delays of 16 ms bend a shorter line by as much. Ours.
	surelySeen = float64(30 * time.Second)
	// bend is what the line itself may be off, beside what is bounded by round trips:
	// four times the 0.026 ms that were measured (sensor-link, "Clock"), and more
	// while it is short. Ours, by simulation (TestTwoBoxes).
	bend      = 0.1e6 // ns
	shortBend = 5e15  // ns^2, over the time that was seen
	// enoughTrips is after how many round trips their shortest is seldom much beaten. Ours.
	enoughTrips = 30
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
	trips   []trip  // of the last 120 s, oldest first
	asked   int     // round trips since the first arrival
	middle  float64 // ns by which the line is taken to be late
}

// trip is a round trip: at the host time sent, the clock of the box had not come to tick
// yet. Both in ns after the first arrival.
type trip struct{ tick, sent float64 }

// Observe takes the tick of the newest sample in the bytes that arrived at a
// host time. It begins anew where epoch is another one, tick goes back, or
// comes after a gap.
func (t *Tracker) Observe(epoch int, tick int64, arrival time.Time) {
	if !t.started || epoch != t.epoch || tick < t.last || tick-t.last > longestSilence {
		*t = Tracker{started: true, epoch: epoch, first: tick, origin: arrival, buckets: t.buckets[:0], hull: t.hull[:0], trips: t.trips[:0]}
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

// Asked takes a round trip: the box read its clock at a tick, after it had been asked at
// a host time. It says nothing of an epoch that has not been seen.
func (t *Tracker) Asked(epoch int, tick int64, sent time.Time) {
	if !t.started || epoch != t.epoch || tick < t.first {
		return
	}
	now := trip{float64(tick - t.first), float64(sent.Sub(t.origin))}
	t.asked++
	old := 0
	for old < len(t.trips) && t.trips[old].tick < now.tick-float64(window) {
		old++
	}
	t.trips = append(append(t.trips[:0], t.trips[old:]...), now)
}

// Fit returns the map as it is known now; false before the first arrival.
func (t *Tracker) Fit() (Fit, bool) {
	if !t.started {
		return Fit{}, false
	}
	l := t.line()
	at := float64(t.last - t.first)
	most, bounded := t.lateBy(l)
	t.settle(most)
	f := Fit{
		Epoch:   t.epoch,
		Tick:    t.last,
		Wall:    t.origin.Add(time.Duration(math.Round(l.at(at) - t.middle))),
		Slope:   min(max(l.slope, 1-maxDrift), 1+maxDrift),
		Arrival: t.newest,
	}
	if f.Slope != l.slope {
		f.Seen = l.slope
	}
	if bounded {
		f.Uncertainty = time.Duration(math.Round(max(t.middle, most-t.middle) + bend + shortBend/max(at, 1e9)))
	}
	return f, true
}

// lateBy is the most by which a line may be late, by the round trips:
//
//	0 <= late <= least of ( line(tick) - sent )
//
// since the line lies below all arrivals, this is at most the shortest round trip.
func (t *Tracker) lateBy(l line) (most float64, bounded bool) {
	most = math.Inf(1)
	for _, x := range t.trips {
		most = min(most, l.at(x.tick)-x.sent)
	}
	if math.IsInf(most, 1) {
		return 0, false
	}
	return max(0, most), true
}

// settle takes the line to be late by half of the most that it can be. After enough
// round trips it keeps to what it took while that can be: their shortest wavers as the
// window goes on, and the clock does not.
func (t *Tracker) settle(most float64) {
	if t.asked <= enoughTrips || t.middle > most || t.middle < most/4 {
		t.middle = most / 2
	}
}

// line is an arrival over a tick, both in ns after the first ones.
type line struct{ slope, offset float64 }

func (l line) at(tick float64) float64 { return l.offset + tick*l.slope }

// line returns the line below all points that lies closest to them: the edge of the
// lower hull over their mean tick. Where that is too steep to be drift, and not seen for
// long enough to be sure of it, it is the steepest line that can be.
func (t *Tracker) line() line {
	t.hull = lowerHull(t.hull[:0], t.buckets)
	l := line{1, math.Inf(1)}
	if len(t.hull) > 1 {
		a, b := edgeOver(t.hull, meanTick(t.buckets))
		l.slope = (b.arrival - a.arrival) / (b.tick - a.tick)
		if t.buckets[len(t.buckets)-1].tick-t.buckets[0].tick < surelySeen {
			l.slope = min(max(l.slope, 1-maxDrift), 1+maxDrift)
		}
	}
	for _, p := range t.hull {
		l.offset = min(l.offset, p.arrival-l.slope*p.tick)
	}
	return l
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
