package rotation

// counts follows a counter of the torch's rotation.
//
// Between two counts the torch is taken to go on at the rate of the last two,
// but never past the next count, because that one would have been heard of.
type counts struct {
	perTurn float64 // 0 is no counter

	any      bool    // a count came in this epoch
	before   bool    // in an earlier one
	base     float64 // turns before the first count of this epoch
	first    int64
	last     int64
	lastTick int64   // when last was reached
	rate     float64 // counts per ns; 0 is not known
}

// tell reports whether the turns can be told by counts.
func (c *counts) tell() bool { return c.perTurn > 0 && (c.any || c.before) }

// take takes a cumulative count.
func (c *counts) take(tick, count int64) {
	if !c.any {
		c.any, c.first, c.last, c.lastTick = true, count, count, tick
		return
	}
	if count == c.last || tick <= c.lastTick {
		return
	}
	rate := float64(count-c.last) / float64(tick-c.lastTick)
	switch { // a torch that turns back first passes the mark that it passed last
	case c.rate > 0 && rate < 0:
		c.first--
	case c.rate < 0 && rate > 0:
		c.first++
	}
	c.rate, c.last, c.lastTick = rate, count, tick
}

// restart keeps the angle over a restart of the counter. How far the torch
// turned while nothing was heard is not known, and taken for nothing.
func (c *counts) restart(lastTick int64) {
	c.base = c.at(lastTick)
	c.before = c.before || c.any
	c.any, c.rate = false, 0
}

// at returns the turns at a tick, from where the record began. While nobody says
// how many counts are a turn, that is where the last known count left it.
func (c *counts) at(tick int64) float64 {
	if !c.any || c.perTurn <= 0 {
		return c.base
	}
	ahead := max(-1, min(1, c.rate*float64(max(0, tick-c.lastTick))))
	return c.base + (float64(c.last-c.first)+ahead)/c.perTurn
}
