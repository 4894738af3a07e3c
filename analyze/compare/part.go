package compare

import (
	"fmt"
	"math"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
)

// Quantity names what two passes are compared in.
type Quantity string

// The quantities.
const (
	Voltage Quantity = "voltage"
	Current Quantity = "current"
	Power   Quantity = "power"
	Wire    Quantity = "wire speed"
	Arc     Quantity = "arc"
)

// Scale says from what difference on a quantity counts as apart.
type Scale struct {
	Quantity  Quantity
	Deviation float64 // robust standard deviation of a bin's difference, SI
	Threshold float64 // SI
}

// Part is a stretch on which two passes part.
type Part struct {
	Quantity    Quantity
	First, Last int // numbers of the bins
	From, To    bore.Place
	Placed      bool
	Lasted      quantity.Seconds // of arc; where the arc was out, of the arc of the other
	Mean        float64          // difference to the reference, SI
	Worst       float64          // the greatest one, with its sign
	Sentence    string
}

// channel is how a quantity is read and spoken of.
type channel struct {
	quantity Quantity
	of       func(*Values) (float64, bool)
	text     func(float64) string
	look     string
}

// channels in the order in which they are told. The words of what to look at are
// common practice, no source.
var channels = []channel{
	{Voltage, value(func(v *Values) *quantity.Volts { return v.Voltage }), texter[quantity.Volts]("V", 2), "look at the set voltage, the leads and clamps, and the distance from tip to wall"},
	{Current, value(func(v *Values) *quantity.Amperes { return v.Current }), texter[quantity.Amperes]("A", 1), "look at the wire feed, the contact tip and the distance from tip to wall"},
	{Power, value(func(v *Values) *quantity.Watts { return v.Power }), texter[quantity.Watts]("W", 0), "look at what voltage and current did there"},
	{Wire, value(func(v *Values) *quantity.MetresPerSecond { return v.Wire }), texter[quantity.MetresPerSecond]("m/min", 2), "look for slip: drive rolls, liner, contact tip"},
}

func value[Q quantity.Quantity](of func(*Values) *Q) func(*Values) (float64, bool) {
	return func(v *Values) (float64, bool) {
		if q := of(v); q != nil {
			return float64(*q), true
		}
		return 0, false
	}
}

func texter[Q quantity.Quantity](unit string, decimals int) func(float64) string {
	return func(v float64) string { return quantity.Text(Q(v), unit, decimals) }
}

// part finds where the two part, quantity by quantity.
func (c *Comparison) part() {
	for _, ch := range channels {
		scale, known := c.scaleOf(ch)
		if !known {
			continue
		}
		c.Scales = append(c.Scales, scale)
		c.parts(ch, scale)
	}
	c.arcParts()
}

// difference returns this less the reference in one bin.
func (ch channel) difference(l *Line) (d float64, known bool) {
	a, okA := ch.of(&l.This)
	b, okB := ch.of(&l.Reference)
	return a - b, okA && okB
}

func (c *Comparison) scaleOf(ch channel) (s Scale, known bool) {
	var steps, level []float64
	last, follows := 0.0, false
	for k := range c.Lines {
		d, ok := ch.difference(&c.Lines[k])
		if ok {
			b, _ := ch.of(&c.Lines[k].Reference)
			level = append(level, math.Abs(b))
			if follows {
				steps = append(steps, math.Abs(d-last))
			}
		}
		last, follows = d, ok
	}
	s = Scale{Quantity: ch.quantity, Deviation: deviation(steps)}
	s.Threshold = max(c.Options.Deviations*s.Deviation, float64(c.Options.Share)*middle(level))
	return s, len(level) > 0
}

// deviation is the robust standard deviation of single values of which the
// differences from one to the next are given without their sign.
func deviation(steps []float64) float64 { return 1.4826 / math.Sqrt2 * middle(steps) }

// run is a stretch that may become a part.
type run struct {
	first, last int // indices into Lines
	sign        float64
	lasted      float64
	sum, worst  float64
}

// parts walks along the bins. A bin in which nothing is known, such as one in a
// planned gap, neither ends a stretch nor adds to it.
func (c *Comparison) parts(ch channel, scale Scale) {
	var open *run
	for k := range c.Lines {
		l := &c.Lines[k]
		d, known := ch.difference(l)
		if !known {
			continue
		}
		sign := 0.0
		if math.Abs(d) > scale.Threshold {
			sign = math.Copysign(1, d)
		}
		if open != nil && sign != open.sign {
			c.close(ch, open)
			open = nil
		}
		if sign == 0 {
			continue
		}
		if open == nil {
			open = &run{first: k, sign: sign}
		}
		open.add(k, float64(l.This.Arc), d)
	}
	c.close(ch, open)
}

func (r *run) add(k int, arc, d float64) {
	r.last = k
	r.lasted += arc
	r.sum += d * arc
	if math.Abs(d) > math.Abs(r.worst) {
		r.worst = d
	}
}

// close files a stretch that lasted.
func (c *Comparison) close(ch channel, r *run) {
	if r == nil || r.lasted <= float64(c.Options.Dwell) {
		return
	}
	p := c.newPart(ch.quantity, r)
	p.Mean, p.Worst = r.sum/r.lasted, r.worst
	side := "above"
	if r.sign < 0 {
		side = "below"
	}
	p.Sentence = fmt.Sprintf("%s %s %s %s for %.1f s of arc%s, at most %s; %s", ch.quantity, ch.text(math.Abs(p.Mean)), side, c.Name(),
		r.lasted, c.where(&p), ch.text(math.Abs(p.Worst)), ch.look)
	c.Parts = append(c.Parts, p)
}

func (c *Comparison) newPart(q Quantity, r *run) Part {
	from, last := &c.Lines[r.first], &c.Lines[r.last]
	to := last // a part ends where the next bin begins
	if r.last+1 < len(c.Lines) && c.Lines[r.last+1].Placed {
		to = &c.Lines[r.last+1]
	}
	return Part{
		Quantity: q, First: from.Number, Last: last.Number, From: from.Place, To: to.Place,
		Placed: from.Placed && to.Placed, Lasted: quantity.Seconds(r.lasted),
	}
}

// where says where a part lies, from its first bin to the end of its last.
func (c *Comparison) where(p *Part) string {
	if !p.Placed {
		if c.Way == ArcTime {
			return fmt.Sprintf(", from %.1f s of arc on", float64(p.First)*c.Width)
		}
		return ""
	}
	return fmt.Sprintf(", from %.0f deg at %s to %.0f deg at %s depth", float64(p.From.Angle), quantity.Text(p.From.Depth, "mm", 1),
		float64(p.To.Angle), quantity.Text(p.To.Depth, "mm", 1))
}

// arcParts finds where one has the arc on and the other has not, by half of the
// arc time in a bin. It needs an angle: along its arc time a pass is never out.
func (c *Comparison) arcParts() {
	if c.Way != Turns {
		return
	}
	var open *run
	for k := range c.Lines {
		l := &c.Lines[k]
		// Where there is no data the arc is taken to have burned: nobody says it was out.
		this, other := float64(l.This.Arc+l.This.Unseen), float64(l.Reference.Arc+l.Reference.Unseen)
		if this == 0 && other == 0 {
			continue // a planned gap
		}
		sign := 0.0
		if math.Abs(this-other) > max(this, other)/2 {
			sign = math.Copysign(1, this-other)
		}
		if open != nil && sign != open.sign {
			c.closeArc(open)
			open = nil
		}
		if sign == 0 {
			continue
		}
		if open == nil {
			open = &run{first: k, sign: sign}
		}
		open.add(k, math.Abs(this-other), this-other)
	}
	c.closeArc(open)
}

func (c *Comparison) closeArc(r *run) {
	if r == nil || r.lasted <= float64(c.Options.Dwell) {
		return
	}
	p := c.newPart(Arc, r)
	p.Mean, p.Worst = r.sign*r.lasted, r.worst
	what := "arc out where %s has it on, for %.1f s of its arc%s; look for a hole in the bead and a cold restart"
	if r.sign > 0 {
		what = "arc on where %s has it out, for %.1f s%s; look whether metal lies where none should be, or whether the torch was slow"
	}
	p.Sentence = fmt.Sprintf(what, c.Name(), r.lasted, c.where(&p))
	c.Parts = append(c.Parts, p)
}
