package rotation

import "sort"

// counts follows a counter of the torch's rotation.
//
// A count that changes is a mark: the torch stood at the border of two counts just
// then. Where it was between two marks is told by the one that came next, where that
// came soon enough (between.go); else it is carried on from the last one, as fast as
// it turned there, but never past the next mark, because that one would have been
// heard of. All places are in counts from the first one that came in the epoch.
type counts struct {
	perTurn             float64 // 0 is no counter
	declared            float64 // turns per ns; 0 is not declared
	any                 bool    // a count came in this epoch
	earlier             bool    // one that changed came in an earlier one
	origin              int64   // the first count
	last                int64   // the newest
	marks               []mark
	passed              int     // marks that the samples have come past
	steadyOf, steadyFor float64 // counts in a turn, and what steady is for them
}

// mark is a moment at which the counter changed.
type mark struct {
	tick int64
	at   float64 // counts
	came float64 // +1 where the torch came to it clockwise, -1 anti-clockwise
	// first is the first count that was heard. Nobody knows whether it had changed
	// just then: the torch stood at it, or less than one count past it.
	first bool
	// What is known once the samples have come past it: for how many ns the torch had
	// turned by then, and the counts per ns at which it turned.
	turning int64
	rate    float64
}

// drive is what is known of the torch's drive besides the counts.
type drive interface {
	// Struck is the tick at which the present pass began.
	Struck() int64
	// Strokes reports whether the arc burns to and fro.
	Strokes() bool
	// Turning is for how many ns the torch has turned by a tick.
	Turning(tick int64) int64
}

// take takes a cumulative count. One that repeats the last says nothing new; one that
// comes too late, or twice at one tick, is left out.
func (c *counts) take(tick, count int64) {
	if !c.any {
		c.any, c.origin, c.last = true, count, count
		c.marks = append(c.marks, mark{tick: tick, came: 1, first: true, rate: c.declared * c.perTurn})
		return
	}
	newest := &c.marks[len(c.marks)-1]
	if count == c.last || tick <= newest.tick {
		return
	}
	at := float64(count) - float64(c.origin)
	if count < c.last { // it came back over the mark that it passed last
		at++
		if newest.first && newest.alike(float64(tick-newest.tick), float64(c.last-count)) {
			newest.at, newest.came = 1, -1 // as it did before, when the first count was said
		}
	}
	c.last = count
	next := mark{tick: tick, at: at, came: -newest.came} // over the same mark it comes back
	if step := at - newest.at; step != 0 {
		next.came = wayOf(step)
	}
	c.marks = append(c.marks, next)
}

// tell reports whether turns can be told by counts from a tick on.
func (c *counts) tell(tick int64) bool {
	return c.perTurn > 0 && (c.earlier || c.any && c.marks[0].tick <= tick+c.firstHorizon() && !c.dead(tick))
}

// moved reports whether the counter has changed in this epoch.
func (c *counts) moved() bool { return len(c.marks) > 1 || c.any && !c.marks[0].first }

// stillCounts is how many counts the torch must have turned by, as declared, for a
// counter that never changed to be one that is not at work. Ours, no source.
const stillCounts = 4

// dead reports whether the counter has said one count and no other, for so long after a
// tick that it is not at work: it says nothing of a torch that turns.
func (c *counts) dead(tick int64) bool {
	wait := c.firstHorizon() + c.horizon()
	moved := !c.marks[0].first || len(c.marks) > 1 && c.marks[1].tick <= max(tick, c.marks[0].tick)+wait
	return !moved && c.declared*c.perTurn*float64(wait) >= stillCounts
}

// restart forgets the counts of the epoch that is over.
func (c *counts) restart() {
	c.earlier = c.earlier || c.moved()
	c.any, c.marks, c.passed = false, c.marks[:0], 0
}

// retell tells anew how long the torch had turned by the marks after a tick.
func (c *counts) retell(from int64, d drive) {
	for k := c.passed - 1; k >= 0 && c.marks[k].tick > from; k-- {
		c.marks[k].turning = d.Turning(c.marks[k].tick)
	}
}

// How far ahead, in ns, the next mark is looked for: one and a half counts at the
// declared rotation, within bounds. The first count may take longer to come, as a torch
// that is struck does not turn at once. Ours, no source.
const (
	leastAhead  = 1e9
	firstAhead  = 10e9
	mostAhead   = 120e9
	countsAhead = 1.5
)

// horizon is how far ahead of a tick, in ns, the next mark is looked for: by what is
// declared, and not by what has arrived.
func (c *counts) horizon() int64 {
	if rate := c.declared * c.perTurn; rate > 0 {
		return int64(max(leastAhead, min(mostAhead, countsAhead/rate)))
	}
	return firstAhead
}

// firstHorizon is the same for the first count of all.
func (c *counts) firstHorizon() int64 { return max(firstAhead, c.horizon()) }

// pass says that the samples have come past a tick.
func (c *counts) pass(tick int64, d drive) {
	for ; c.passed < len(c.marks) && c.marks[c.passed].tick <= tick; c.passed++ {
		m := &c.marks[c.passed]
		m.turning, m.rate = d.Turning(m.tick), c.declared*c.perTurn
		if c.passed > 0 {
			m.rate = c.marks[c.passed-1].rateUpTo(m, d)
		}
	}
}

// kept is how many marks are kept before a tick that may still be asked for.
const kept = 64

// forget forgets marks that are long before a tick, now and then.
func (c *counts) forget(tick int64) {
	if c.passed <= 2*kept {
		return
	}
	before := sort.Search(c.passed, func(k int) bool { return c.marks[k].tick > tick })
	if gone := before - kept; gone > len(c.marks)/2 {
		c.marks = c.marks[:copy(c.marks, c.marks[gone:])]
		c.passed -= gone
	}
}

// silent reports whether nothing was counted at a tick though the torch turned: the
// counter was heard of only later.
func (c *counts) silent(tick int64) bool {
	first := &c.marks[0]
	return first.first && tick < first.tick && first.rate*float64(first.turning) > c.steady()
}

// changed reports whether a count changed after a tick, up to another one.
func (c *counts) changed(from, to int64) bool {
	for k := len(c.marks) - 1; k >= 0 && c.marks[k].tick > from; k-- {
		if c.marks[k].tick <= to {
			return true
		}
	}
	return false
}

// where tells where the torch was at a tick, and how well that is known.
func (c *counts) where(tick int64, d drive) (at float64, doubt stepDoubt) {
	if !c.any || c.marks[0].tick > tick+c.firstHorizon() {
		return 0, stepDoubt{}
	}
	k := c.before(tick)
	known := c.next(max(k, 0), tick)
	m := c.marks[max(k, 0)]
	if m.first && !known {
		m.at, m.came = 0, 1 // what comes later than it is used does not count
	}
	switch {
	case k < 0 && !(known && m.cold(d)):
		return m.before(tick, c.declared*c.perTurn, d)
	case known:
		return m.between(&c.marks[max(k, 0)+1], c.steady(), tick, d)
	default:
		return m.carry(m.came, 1, tick, d)
	}
}

// before returns the number of the last mark up to a tick, -1 where there is none. It is
// nearly always the one that the samples have come past last.
func (c *counts) before(tick int64) int {
	if k := c.passed - 1; k >= 0 && c.marks[k].tick <= tick && (k+1 == len(c.marks) || c.marks[k+1].tick > tick) {
		return k
	}
	return sort.Search(len(c.marks), func(k int) bool { return c.marks[k].tick > tick }) - 1
}

// next reports whether the mark after another one, or after a tick that is later, came
// soon enough.
func (c *counts) next(k int, tick int64) bool {
	return k+1 < len(c.marks) && c.marks[k+1].tick <= max(c.marks[k].tick, tick)+c.horizon()
}

func wayOf(step float64) float64 {
	if step < 0 {
		return -1
	}
	return 1
}
