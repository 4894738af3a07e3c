package rotation

import "math"

// How the time between two marks is taken. Ours, no source.
const (
	// alike is the share by which the next mark may come too early or too late for the
	// torch to have turned on without standing.
	alike = 0.08
	// turnedOn is the share of the time between two marks in which the torch must have
	// turned if its rate is to be taken from them.
	turnedOn = 0.9
)

// steady is how many times as long as before the next mark may take where the torch did
// not stand meanwhile. Over a whole turn its unevenness a evens out, over a part of one,
// L, it does not:
//
//	1 + alike + 2*a*sin(pi*L)/(pi*L)
func (c *counts) steady() float64 {
	if c.steadyFor == 0 || c.steadyOf != c.perTurn {
		l := math.Pi * min(1, 1/c.perTurn)
		c.steadyOf, c.steadyFor = c.perTurn, 1+alike+2*unevenness*math.Sin(l)/l
	}
	return c.steadyFor
}

// stepDoubt is how well a place by counts is known.
type stepDoubt struct {
	gone    float64 // counts between the two marks, or from the one that it is carried on from
	carried bool    // by a rate, and not between two marks
	jumped  bool    // several counts at once: the mark itself is not sharp
	open    bool    // it may have been turned by hand since the mark, by less than a count
}

// rateUpTo is the rate at which the torch turned up to the next mark, where it turned
// all the time, else the rate before.
func (m *mark) rateUpTo(next *mark, d drive) float64 {
	span, way := float64(next.tick-m.tick), math.Abs(next.at-m.at)
	switch {
	case way == 0,
		m.rate > 0 && (m.cold(d) || float64(next.turning-m.turning) < turnedOn*span),
		m.first && !m.alike(span, way):
		return m.rate
	}
	return way / span
}

// alike reports whether the torch turned evenly from a mark on, by the time and the way
// to the next one.
func (m *mark) alike(span, way float64) bool {
	return m.rate == 0 || math.Abs(m.rate*span-way) <= alike*way
}

// between tells where the torch was at a tick before the next mark.
func (m *mark) between(next *mark, steady float64, tick int64, d drive) (at float64, doubt stepDoubt) {
	span, step := float64(next.tick-m.tick), next.at-m.at
	if step == 0 {
		return m.turnedBack(next, steady, tick, d)
	}
	way := math.Abs(step)
	on := m.rate == 0 || m.rate*span <= steady*way
	if m.cold(d) { // it may have stood until it was struck
		on = m.alike(span, way)
	}
	if on {
		share := float64(tick-m.tick) / span
		return m.at + step*share, stepDoubt{gone: way, jumped: way > 1}
	}
	if left, ok := m.backFrom(next, way, steady, tick, d); ok {
		return next.at - wayOf(step)*left, stepDoubt{gone: left, carried: true, jumped: way > 1}
	}
	return m.carry(wayOf(step), way, tick, d)
}

// cold reports whether the torch passed a mark before the arc of the present pass was
// struck. The first count of all may be said by a box that only begins to speak, which
// it does every 5 s: then it is no mark.
func (m *mark) cold(d drive) bool {
	return m.tick <= d.Struck() || m.first && m.tick <= d.Struck()+helloEvery
}

// helloEvery is how often, in ns, a box says who it is (sensor link, HELLO).
const helloEvery = 5e9

// backFrom is how far the torch still had to go to the next mark, where it was set
// going between the two and has turned since.
func (m *mark) backFrom(next *mark, way, steady float64, tick int64, d drive) (left float64, ok bool) {
	if !m.cold(d) || m.rate*float64(next.tick-max(m.tick, d.Struck())) > steady*way {
		return 0, false
	}
	if tick < m.tick { // the first count may have been a change
		way++
	}
	return min(way, m.rate*float64(next.tick-tick)), true
}

// turnedBack tells where the torch was between passing a mark and coming back over it:
// half of the time it went on, where strokes go to and fro and it did not stand meanwhile.
// Else it was turned back by hand, once the arc was out.
func (m *mark) turnedBack(next *mark, steady float64, tick int64, d drive) (at float64, doubt stepDoubt) {
	out, home := float64(tick-m.tick), float64(next.tick-tick)
	switch {
	case m.cold(d):
		out = home
	case d.Strokes() && m.rate*(out+home) <= 2*steady:
		out = min(out, home)
	default:
		return m.carry(m.came, 1, tick, d)
	}
	gone := min(1, m.rate*out)
	return m.at + m.came*gone, stepDoubt{gone: gone, carried: true}
}

// carry goes on from a mark for as long as the torch has turned, and no further than
// so many counts.
func (m *mark) carry(way, most float64, tick int64, d drive) (at float64, doubt stepDoubt) {
	gone := m.rate * float64(max(0, d.Turning(tick)-m.turning))
	doubt = stepDoubt{gone: min(gone, most), carried: true, open: m.first || m.cold(d), jumped: most > 1}
	return m.at + way*min(gone, most), doubt
}

// mayStand is for how long, in ns, an arc may burn on one spot before it is more likely
// that the counter was not heard. Ours, no source.
const mayStand = 3e9

// before tells where the torch was before the first count, which came while it turned:
// less than a count before it, or it would have been heard of, unless nothing was for
// longer than an arc may stand.
func (m *mark) before(tick int64, rate float64, d drive) (at float64, doubt stepDoubt) {
	gone := rate * float64(m.tick-tick)
	unheard := rate*float64(m.tick-d.Struck()) > 1+rate*mayStand
	if !unheard {
		gone = min(gone, 1)
	}
	doubt = stepDoubt{gone: gone, carried: true, open: unheard}
	if m.at == 1 { // anti-clockwise
		return 1 + gone, doubt
	}
	return -gone, doubt
}
