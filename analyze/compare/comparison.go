package compare

import (
	"errors"
	"fmt"
	"slices"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
)

// ErrNoGoodPass is returned where a median is asked for and no other pass is good.
var ErrNoGoodPass = errors.New("no other pass has a profile, the verdict within and no finding: there is no median of good passes")

// ErrDifferentWays is returned for two passes of which one has an angle and the
// other has none.
var ErrDifferentWays = errors.New("the angle of one pass is known and that of the other is not: they cannot be laid over one another")

// NoPassError is a pass that has no profile.
type NoPassError struct{ Pass, Passes int }

// Error says which passes there are.
func (e *NoPassError) Error() string {
	switch {
	case e.Passes == 0:
		return fmt.Sprintf("there is no pass %d: no pass was found in this record", e.Pass)
	case e.Pass >= 1 && e.Pass <= e.Passes:
		return fmt.Sprintf("pass %d has no profile: the record is too long to keep one of each pass", e.Pass)
	default:
		return fmt.Sprintf("there is no pass %d: the record has passes 1 to %d", e.Pass, e.Passes)
	}
}

// Hint says where they are listed.
func (e *NoPassError) Hint() string { return "arctally passes RECORD shows which passes there are" }

// Options say how far apart is apart.
type Options struct {
	Deviations float64          // robust standard deviations
	Share      quantity.Ratio   // of the level of the reference
	Dwell      quantity.Seconds // of arc time
}

// DefaultDeviations and DefaultShare are what counts as apart where nobody says
// otherwise. Ours; common practice, no source.
const (
	DefaultDeviations                = 4.0
	DefaultShare      quantity.Ratio = 0.02
)

// Line is one bin of a comparison.
type Line struct {
	Number          int // of the bin
	Place           bore.Place
	Placed          bool
	This, Reference Values
}

// Comparison is one pass laid over a reference.
type Comparison struct {
	Pass       int
	With       int   // number of the other pass; 0 is the median of Good
	Good       []int // passes of the median
	Way        Way
	Width      float64 // of a bin: turns, or s of arc
	Options    Options
	Lines      []Line
	Scales     []Scale
	Departures []Departure
}

// Name names the reference.
func (c *Comparison) Name() string {
	if c.With > 0 {
		return fmt.Sprintf("pass %d", c.With)
	}
	if len(c.Good) == 1 {
		return fmt.Sprintf("pass %d, the only good one", c.Good[0])
	}
	return fmt.Sprintf("the median of %d good passes", len(c.Good))
}

// With lays one pass over another.
func With(profiles []*Profile, passes []pass.Pass, number, other int, o Options) (*Comparison, error) {
	this, err := find(profiles, passes, number)
	if err != nil {
		return nil, err
	}
	reference, err := find(profiles, passes, other)
	if err != nil {
		return nil, err
	}
	c := &Comparison{Pass: number, With: other, Options: o}
	return c, c.overlay(this, []*Profile{reference})
}

// WithMedian lays one pass over the median of the other passes that are good.
func WithMedian(profiles []*Profile, passes []pass.Pass, number int, o Options) (*Comparison, error) {
	this, err := find(profiles, passes, number)
	if err != nil {
		return nil, err
	}
	c := &Comparison{Pass: number, Options: o}
	var good []*Profile
	for k := range passes {
		p := &passes[k]
		if p.Number == number || p.Verdict != heat.Within || p.Findings > 0 {
			continue
		}
		if profile, err := find(profiles, passes, p.Number); err == nil && profile.Way == this.Way {
			good = append(good, profile)
			c.Good = append(c.Good, p.Number)
		}
	}
	if len(good) == 0 {
		return nil, ErrNoGoodPass
	}
	return c, c.overlay(this, good)
}

func find(profiles []*Profile, passes []pass.Pass, number int) (*Profile, error) {
	for _, p := range profiles {
		if p.Pass == number {
			return p, nil
		}
	}
	return nil, &NoPassError{Pass: number, Passes: len(passes)}
}

// overlay lays a pass over others, bin by bin.
func (c *Comparison) overlay(this *Profile, others []*Profile) error {
	c.Way, c.Width = this.Way, this.Width
	first, end := this.First, this.First+len(this.Bins)
	for _, o := range others {
		if o.Way != this.Way {
			return ErrDifferentWays
		}
		first, end = min(first, o.First), max(end, o.First+len(o.Bins))
	}
	least := leastArc * this.usualArc()
	leasts := make([]float64, len(others))
	for k, o := range others {
		leasts[k] = leastArc * o.usualArc()
	}
	deeper := this.deeperThan(others[0])
	for number := first; number < end; number++ {
		line := Line{Number: number, This: this.values(number, least)}
		line.Place, line.Placed = this.place(number, 0)
		var each []Values
		for k, o := range others {
			each = append(each, o.values(number, leasts[k]))
			if !line.Placed {
				line.Place, line.Placed = o.place(number, deeper)
			}
		}
		line.Reference = medianOf(each)
		c.Lines = append(c.Lines, line)
	}
	c.depart()
	return nil
}

// place returns where a bin begins: its number tells the angle, what burned in it
// the depth, which may be corrected.
func (p *Profile) place(number int, deeper quantity.Metres) (at bore.Place, known bool) {
	b := p.bin(number)
	if b == nil || !b.Placed {
		return at, false
	}
	if p.Way != Turns {
		return b.Place, true
	}
	angle := quantity.Degrees(360 * float64(number) * p.Width)
	if p.Backwards {
		angle = -angle
	}
	return bore.Place{Angle: bore.NormalAngle(angle), Depth: b.Place.Depth + deeper}, true
}

// deeperThan returns how much deeper the same bin of this profile lies: rings lie
// side by side, and turns of one helix over those of another.
func (p *Profile) deeperThan(other *Profile) quantity.Metres {
	for k := range p.Bins {
		if o := other.bin(p.First + k); o != nil && o.Placed && p.Bins[k].Placed {
			return p.Bins[k].Place.Depth - o.Place.Depth
		}
	}
	return 0
}

func (p *Profile) bin(number int) *Bin {
	if at := number - p.First; at >= 0 && at < len(p.Bins) {
		return &p.Bins[at]
	}
	return nil
}

func (p *Profile) values(number int, least float64) Values {
	if b := p.bin(number); b != nil {
		return b.values(least)
	}
	return Values{}
}

// medianOf takes each quantity by itself.
func medianOf(each []Values) Values {
	var v Values
	v.Voltage = median(each, func(v *Values) *quantity.Volts { return v.Voltage })
	v.Current = median(each, func(v *Values) *quantity.Amperes { return v.Current })
	v.Power = median(each, func(v *Values) *quantity.Watts { return v.Power })
	v.Wire = median(each, func(v *Values) *quantity.MetresPerSecond { return v.Wire })
	v.Arc = *median(each, func(v *Values) *quantity.Seconds { return &v.Arc })
	v.Unseen = *median(each, func(v *Values) *quantity.Seconds { return &v.Unseen })
	return v
}

// median returns the middle of the values that are known, nil where none is.
func median[Q quantity.Quantity](each []Values, of func(*Values) *Q) *Q {
	var known []float64
	for k := range each {
		if q := of(&each[k]); q != nil {
			known = append(known, float64(*q))
		}
	}
	if len(known) == 0 {
		return nil
	}
	return new(Q(middle(known)))
}

// middle returns the median of numbers, which it sorts; 0 of none.
func middle(x []float64) float64 {
	n := len(x)
	if n == 0 {
		return 0
	}
	slices.Sort(x)
	return (x[(n-1)/2] + x[n/2]) / 2
}
