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

// Departure is a run of bins in which a pass differs from its reference.
type Departure struct {
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

// depart finds where the two differ, quantity by quantity.
func (c *Comparison) depart() {
	for _, ch := range channels {
		scale, known := c.scaleOf(ch)
		if !known {
			continue
		}
		c.Scales = append(c.Scales, scale)
		for _, r := range c.runs(func(l *Line) step {
			d, known := ch.difference(l)
			return step{d: d, weight: float64(l.This.Arc), known: known, apart: math.Abs(d) > scale.Threshold}
		}) {
			c.file(ch, r)
		}
	}
	if c.Way != Turns {
		return // along its arc time a pass is never out
	}
	for _, r := range c.runs(arcStep) {
		c.fileArc(r)
	}
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

// step is the difference in one bin.
type step struct {
	d, weight    float64
	known, apart bool
}

// arcStep is the difference of the arc in a bin: where one has it on and the other has
// not, by half of the arc time. Where there is no data the arc is taken to have burned:
// nobody says it was out. A planned gap, in which neither has an arc, is not known.
func arcStep(l *Line) step {
	this, other := float64(l.This.Arc+l.This.Unseen), float64(l.Reference.Arc+l.Reference.Unseen)
	d := this - other
	return step{d: d, weight: math.Abs(d), known: this != 0 || other != 0, apart: math.Abs(d) > max(this, other)/2}
}

// run is a row of bins that differ to one side.
type run struct {
	first, last int // indices into Lines
	below       bool
	lasted      float64
	sum, worst  float64
}

// runs walks along the bins. A bin in which nothing is known, such as one in a
// planned gap, neither ends a run nor adds to it.
func (c *Comparison) runs(of func(*Line) step) (all []run) {
	open := false
	for k := range c.Lines {
		s := of(&c.Lines[k])
		if !s.known {
			continue
		}
		below := math.Signbit(s.d)
		if s.apart && !(open && all[len(all)-1].below == below) {
			all = append(all, run{first: k, below: below})
		}
		if open = s.apart; open {
			all[len(all)-1].add(k, s)
		}
	}
	return all
}

func (r *run) add(k int, s step) {
	r.last = k
	r.lasted += s.weight
	r.sum += s.d * s.weight
	if math.Abs(s.d) > math.Abs(r.worst) {
		r.worst = s.d
	}
}

// file files a run that lasted.
func (c *Comparison) file(ch channel, r run) {
	d, lasted := c.departure(ch.quantity, r)
	if !lasted {
		return
	}
	d.Mean, d.Worst = r.sum/r.lasted, r.worst
	side := "above"
	if r.below {
		side = "below"
	}
	d.Sentence = fmt.Sprintf("%s %s %s %s for %.1f s of arc%s, at most %s; %s", ch.quantity, ch.text(math.Abs(d.Mean)), side, c.Name(),
		r.lasted, c.where(&d), ch.text(math.Abs(d.Worst)), ch.look)
	c.Departures = append(c.Departures, d)
}

// fileArc files a run of bins that lasted, in which one has the arc on and the other
// has not.
func (c *Comparison) fileArc(r run) {
	d, lasted := c.departure(Arc, r)
	if !lasted {
		return
	}
	d.Mean, d.Worst = r.lasted, r.worst
	what := "arc on where %s has it out, for %.1f s%s; look whether metal lies where none should be, or whether the torch was slow"
	if r.below {
		d.Mean = -r.lasted
		what = "arc out where %s has it on, for %.1f s of its arc%s; look for a hole in the bead and a cold restart"
	}
	d.Sentence = fmt.Sprintf(what, c.Name(), r.lasted, c.where(&d))
	c.Departures = append(c.Departures, d)
}

// departure returns what a run is, and whether it lasted for longer than the dwell.
func (c *Comparison) departure(q Quantity, r run) (d Departure, lasted bool) {
	from, last := &c.Lines[r.first], &c.Lines[r.last]
	to := last // it ends where the next bin begins
	if r.last+1 < len(c.Lines) && c.Lines[r.last+1].Placed {
		to = &c.Lines[r.last+1]
	}
	return Departure{
		Quantity: q, First: from.Number, Last: last.Number, From: from.Place, To: to.Place,
		Placed: from.Placed && to.Placed, Lasted: quantity.Seconds(r.lasted),
	}, r.lasted > float64(c.Options.Dwell)
}

// where says where a departure lies, from its first bin to the end of its last.
func (c *Comparison) where(d *Departure) string {
	if !d.Placed {
		if c.Way == ArcTime {
			return fmt.Sprintf(", from %.1f s of arc on", float64(d.First)*c.Width)
		}
		return ""
	}
	return fmt.Sprintf(", from %.0f deg at %s to %.0f deg at %s depth", float64(d.From.Angle), quantity.Text(d.From.Depth, "mm", 1),
		float64(d.To.Angle), quantity.Text(d.To.Depth, "mm", 1))
}
