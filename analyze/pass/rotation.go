package pass

import (
	"arctally/analyze/heat"
)

// rotation follows the turning of the torch: by turn counts where they come,
// else by the declared speed from the start of the pass on, set right by the
// signal's own rhythm where that is found.
//
// Between two counts the torch is taken to go on at the rate of the last two,
// but never past the next count, because that one would have been heard of.
type rotation struct {
	perTurn  float64 // counts in a turn; 0 is none fitted
	declared float64 // turns per ns; 0 is not declared

	counted   bool    // in this epoch
	before    bool    // in an earlier one
	base      float64 // turns before the first count of this epoch
	first     int64
	last      int64
	lastTick  int64 // when last was reached
	rate      float64
	rateKnown bool

	origin int64 // declared: tick at which turns were 0
	counts bool  // the present pass goes by the counts

	derived estimate // of the present pass; from nothing while none is known
}

// count takes a cumulative turn count.
func (r *rotation) count(tick, count int64) {
	if !r.counted {
		r.counted, r.first, r.last, r.lastTick = true, count, count, tick
		return
	}
	if count == r.last || tick <= r.lastTick {
		return
	}
	rate := float64(count-r.last) / float64(tick-r.lastTick)
	switch { // a torch that turns back first passes the mark that it passed last
	case r.rate > 0 && rate < 0:
		r.first--
	case r.rate < 0 && rate > 0:
		r.first++
	}
	r.rate, r.rateKnown = rate, true
	r.last, r.lastTick = count, tick
}

// newEpoch keeps the angle over a restart of the counter. How far the torch
// turned while nothing was heard is not known, and taken for nothing.
func (r *rotation) newEpoch(lastTick int64) {
	r.base = r.byCounts(lastTick)
	r.before = r.before || r.counted
	r.counted, r.counts, r.rateKnown, r.rate = false, false, false, 0
}

// basis tells what at rests on now.
func (r *rotation) basis() heat.TravelBasis {
	switch {
	case r.measured():
		return heat.TravelMeasured
	case r.derived.from != "":
		return heat.TravelDerived
	default:
		return heat.TravelDeclared
	}
}

// set makes of turns by the declared rotation those by the derived one, where
// one is known. Counted turns stay as they are.
func (r *rotation) set(turns float64) float64 {
	if r.measured() || r.derived.from == "" {
		return turns
	}
	return turns * r.derived.order
}

func (r *rotation) measured() bool { return r.counts }

// known reports whether there is any angle at all.
func (r *rotation) known() bool { return r.measured() || r.declared > 0 }

// beginPass decides by what the pass goes, for all of it, and puts the declared
// angle back to its start.
func (r *rotation) beginPass(tick int64) {
	r.counts = r.perTurn > 0 && (r.counted || r.before)
	r.origin = tick
	r.derived = estimate{}
}

// at returns the turns at a tick, from where the record began.
func (r *rotation) at(tick int64) float64 {
	if !r.measured() {
		return r.declared * float64(tick-r.origin)
	}
	return r.byCounts(tick)
}

func (r *rotation) byCounts(tick int64) float64 {
	if !r.counted {
		return r.base
	}
	ahead := 0.0
	if r.rateKnown && tick > r.lastTick {
		ahead = max(-1, min(1, r.rate*float64(tick-r.lastTick)))
	}
	return r.base + (float64(r.last-r.first)+ahead)/r.perTurn
}
