package pass

import (
	"math"

	"arctally/acquire/series"
)

// carriage follows the way of a torch whose way itself is measured: by the speed of its
// travel, or by where it stands along up to three axes.
//
// Positions scatter, and a sum of all their little steps would grow with every reading.
// So their mean over each second is taken, and the way from mean to mean: with P the
// mean positions, T the mean times and t the arc time of a pass,
//
//	path = t * sum( |P[k+1]-P[k]| ) / sum( T[k+1]-T[k] )
//
// over the seconds that lie in one arc interval. Ours, no source. A weave that is
// quick against a second drops out, as does the way while the arc is out.
type carriage struct {
	axes  int // that tell where the torch is
	speed feed

	point [mostAxes]float64 // m, as last read
	read  [mostAxes]int64   // tick + 1 of that reading, 0 is none
	step  float64           // m, the least by which a reading moved; 0 is none yet
	pace  float64           // m/s, the same of the speed

	waits   bool // the latest point: the sample at it has not come yet
	waiting [mostAxes]float64
	waitsAt int64

	sum     [mostAxes]float64
	since   float64 // ns, sum of times from origin
	n       float64
	origin  int64
	until   int64
	chained bool // there is a mean before this one in the interval
	mean    [mostAxes]float64
	at      float64 // ns, of that mean, from atTick
	atTick  int64

	path, time float64 // m and ns, of the pass
}

const mostAxes = 3

// meanOver is the time in ns over which positions are taken together: long against a
// weave, short against a bead.
const meanOver = 1_000_000_000

// source counts the axes of who speaks from now on.
func (c *carriage) source(s series.Source) {
	c.axes = 0
	for _, ch := range s.Channels {
		for _, name := range PositionChannels {
			if ch.Name == name {
				c.axes++
			}
		}
	}
	c.lift()
}

// PositionChannels are the names of the channels that tell where the torch is, in m.
var PositionChannels = [mostAxes]string{"position_x", "position_y", "position_z"}

// TravelChannel is the name of the channel that tells its speed along the bead, in m/s.
const TravelChannel = "travel_speed"

// Position takes a reading of one axis in m; burning says that the arc is on.
func (c *carriage) position(axis int, tick int64, metres float64, burning bool) {
	if c.read[axis] != 0 {
		c.step = least(c.step, math.Abs(metres-c.point[axis]))
	}
	c.point[axis], c.read[axis] = metres, tick+1
	for _, read := range c.read[:c.axes] {
		if read != tick+1 {
			return
		}
	}
	switch {
	case !burning:
		c.lift()
	case c.waits:
		c.take(c.waiting, c.waitsAt)
	}
	c.waits, c.waiting, c.waitsAt = true, c.point, tick
}

// take takes a point at which the arc burned.
func (c *carriage) take(point [mostAxes]float64, tick int64) {
	if c.n > 0 && tick >= c.until {
		c.closeMean()
	}
	if c.n == 0 {
		c.origin, c.until = tick, (tick/meanOver+1)*meanOver
	}
	for k, x := range point[:c.axes] {
		c.sum[k] += x
	}
	c.since += float64(tick - c.origin)
	c.n++
}

// least returns the smaller of two steps that are not 0.
func least(a, b float64) float64 {
	if a == 0 || b > 0 && b < a {
		return b
	}
	return a
}

// closeMean adds the way from the last mean to the one under way.
func (c *carriage) closeMean() {
	if c.n == 0 {
		return
	}
	chord := 0.0
	var mean [mostAxes]float64
	for k := range c.axes {
		mean[k] = c.sum[k] / c.n
		d := mean[k] - c.mean[k]
		chord += float64(d * d)
	}
	at := c.since / c.n
	if c.chained {
		c.path += math.Sqrt(chord)
		c.time += float64(c.origin-c.atTick) + at - c.at
	}
	c.chained, c.mean, c.at, c.atTick = true, mean, at, c.origin
	c.sum, c.since, c.n = [mostAxes]float64{}, 0, 0
}

// lift says that the torch may go where it likes from here on: no way joins to this.
func (c *carriage) lift() {
	c.closeMean()
	c.chained, c.waits = false, false
}

// readSpeed takes a reading of the speed in m/s; a bead has no less way for going back.
func (c *carriage) readSpeed(speed float64, arc int64) {
	speed = math.Abs(speed)
	if c.speed.speedKnown {
		c.pace = least(c.pace, math.Abs(speed-c.speed.speed))
	}
	c.speed.readSpeed(speed, arc)
}

// begin begins the way of a pass, of which so much arc time has gone by already.
func (c *carriage) begin(arc int64) {
	c.path, c.time = 0, 0
	c.speed.restart(c.speed.speed*float64(arc)*1e-9, arc)
}

// way is how far a torch has gone in arc, and by how much its readings step.
type way struct {
	path  float64 // m; 0 is not known
	doubt float64 // half-width of what the steps leave open, as a share
}

// upTo returns the way up to so much arc time. Positions come first: they need no
// adding up of a speed that may be off.
func (c *carriage) upTo(arc int64) way {
	switch {
	case c.path > 0 && c.time > 0:
		return way{c.path / c.time * float64(arc), c.step / c.path}
	case c.axes == 0 && c.speed.speedKnown:
		if path := c.speed.upTo(arc); path > 0 {
			return way{path, c.pace / 2 * float64(arc) * 1e-9 / path}
		}
	}
	return way{}
}
