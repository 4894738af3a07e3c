package sensorbox

import (
	"fmt"
	"math"

	"arctally/acquire/link"
	"arctally/acquire/quantity"
)

// LinkSums is the binary link with SUMS frames in place of SAMPLES; any other
// Plan.Link is one of the names in package link.
const LinkSums = "sums"

// PlanError says which field of a plan the box cannot work with, and why.
type PlanError struct {
	Field  string // as in Plan: "Pitch", "Faults[2].Turn"
	Reason string
}

// Error returns the field and the reason.
func (e *PlanError) Error() string { return "sensor box plan: " + e.Field + ": " + e.Reason }

func flaw(field, format string, args ...any) error {
	return &PlanError{Field: field, Reason: fmt.Sprintf(format, args...)}
}

// withDefaults fills in what was left at zero.
func (p Plan) withDefaults() Plan {
	orDefault(&p.Pattern, Helix)
	orDefault(&p.Layers, 1)
	orDefault(&p.Standoff, 10*p.WireDiameter+standoffBase)
	orDefault(&p.Lead, 2)
	orDefault(&p.LayerPause, 25)
	orDefault(&p.RingPause, 3)
	orDefault(&p.Hold, 0.3)
	orDefault(&p.Link, link.Binary)
	orDefault(&p.SampleRate, 10_000)
	orDefault(&p.CountsPerTurn, countsPerTurn)
	orDefault(&p.GatherCounts, pulseEvery)
	faults := make([]Fault, len(p.Faults))
	for k, f := range p.Faults {
		orDefault(&f.Amount, defaultAmount[f.Kind])
		faults[k] = f
	}
	p.Faults = faults
	return p
}

func orDefault[T comparable](value *T, standard T) {
	var zero T
	if *value == zero {
		*value = standard
	}
}

// validate checks a plan whose defaults are filled in.
func (p Plan) validate() error {
	for _, check := range []func() error{
		p.validateNumbers, p.validateBore, p.validateGaps, p.validateStrokes, p.validateCounts, p.validateSignal, p.validateFaults,
	} {
		if err := check(); err != nil {
			return err
		}
	}
	return nil
}

func (p Plan) validateNumbers() error {
	for _, f := range []struct {
		field     string
		value     float64
		low, high float64
		unit      string
	}{
		{"WornDiameter", float64(p.WornDiameter), 0.02, 2, "m"},
		{"Length", float64(p.Length), 1e-3, 5, "m"},
		{"Pitch", float64(p.Pitch), 0.5e-3, 20e-3, "m"},
		{"Layers", float64(p.Layers), 1, 50, ""},
		{"RotationSpeed", math.Abs(float64(p.RotationSpeed)), 1e-4, 2, "turns/s"},
		{"StartAngle", float64(p.StartAngle), 0, 359.999999, "degrees"},
		{"Standoff", float64(p.Standoff), 5e-3, 40e-3, "m"},
		{"WireDiameter", float64(p.WireDiameter), 0.6e-3, 2e-3, "m"},
		{"Voltage", float64(p.Voltage), 12, 40, "V"},
		{"Current", float64(p.Current), 40, 450, "A"},
		{"WireSpeed", float64(p.WireSpeed), 0.01, 0.5, "m/s"},
		{"GasFlow", float64(p.GasFlow), 0, 1e-3, "m^3/s"},
		{"Lead", float64(p.Lead), 0.6, 3600, "s"},
		{"LayerPause", float64(p.LayerPause), 1, 3600, "s"},
		{"RingPause", float64(p.RingPause), 1, 3600, "s"},
		{"Hold", float64(p.Hold), 0.01, 10, "s"},
		{"PlaySpeed", p.PlaySpeed, 0, 1e6, ""},
		{"JogBefore", p.JogBefore, -20, 20, "turns"},
		{"JogBetween", p.JogBetween, -20, 20, "turns"},
		{"Wobble", float64(p.Wobble), 0, 0.5, ""},
		{"CountsPerTurn", float64(p.CountsPerTurn), 1, 100_000, ""},
		{"CountsLate", float64(p.CountsLate), 0, 3600, "s"},
		{"GatherCounts", float64(p.GatherCounts), 1e-3, 5, "s"},
	} {
		if !(f.value >= f.low && f.value <= f.high) {
			return flaw(f.field, "%g %s is not within %g..%g", f.value, f.unit, f.low, f.high)
		}
	}
	return nil
}

func (p Plan) validateBore() error {
	if p.Pattern != Helix && p.Pattern != Rings && !p.stroked() {
		return flaw("Pattern", "%q is not known: use %s, %s, %s or %s", p.Pattern, Helix, Rings, SegmentReversing, SegmentOneWay)
	}
	if p.Pitch > p.Length {
		return flaw("Pitch", "%g m is longer than the bore of %g m", p.Pitch, p.Length)
	}
	return nil
}

// validateGaps checks that gaps lie on the circle, apart from one another, and
// leave the start to the arc.
func (p Plan) validateGaps() error {
	planned := 0.0
	for k, g := range p.Gaps {
		field := fmt.Sprintf("Gaps[%d]", k)
		if !onCircle(g.From) || !onCircle(g.To) || g.From == g.To {
			return flaw(field, "%g..%g degrees is not a range of angles from 0 to 360", g.From, g.To)
		}
		if g.contains(float64(p.StartAngle)) {
			return flaw("StartAngle", "%g degrees lies in the gap from %g to %g: the arc cannot start there", p.StartAngle, g.From, g.To)
		}
		planned += wrap(float64(g.To - g.From))
		for _, other := range p.Gaps[:k] {
			if g.contains(float64(other.From)) || other.contains(float64(g.From)) {
				return flaw(field, "%g..%g degrees overlaps the gap from %g to %g", g.From, g.To, other.From, other.To)
			}
		}
	}
	if planned > 350 {
		return flaw("Gaps", "%g degrees of gaps leave nothing to weld", planned)
	}
	return nil
}

func (p Plan) validateSignal() error {
	switch p.Link {
	case link.Binary, LinkSums, link.Delimited, link.LineProtocol, link.Columns, LinkModbus:
	default:
		return flaw("Link", "%q is not known: use %s, %s, %s, %s, %s or %s", p.Link, link.Binary, LinkSums, link.Delimited, link.LineProtocol, link.Columns, LinkModbus)
	}
	if p.Link == LinkModbus && p.PlaySpeed == 0 {
		return flaw("PlaySpeed", "a slave cannot wait for who asks it: say how fast it is")
	}
	if p.Part != "" && p.Link != link.Binary {
		return flaw("Part", "%q has no words on the link %s", p.Part, p.Link)
	}
	if p.Part != "" && p.Part != ArcPart && p.Part != BesidePart {
		return flaw("Part", "%q is not known: use %s or %s", p.Part, ArcPart, BesidePart)
	}
	steps := 1 / (float64(p.SampleRate) * stepTime)
	if !(steps >= 1 && steps <= 100) || math.Abs(steps-math.Round(steps)) > 1e-7 {
		return flaw("SampleRate", "%g Hz is not 100 kHz divided by a whole number from 1 to 100", p.SampleRate)
	}
	return nil
}

// validateCounts checks that each pass of a counted torch begins where the one before
// it left the torch.
func (p Plan) validateCounts() error {
	atMark := p.IndexFlag || p.CountsPerTurn != countsPerTurn
	if part := math.Abs(math.Remainder(p.turns(), 1)); atMark && p.Layers > 1 && part > 1e-9 {
		return flaw("Length", "%g m are %g turns: layers that are counted from the mark are of whole turns", p.Length, p.turns())
	}
	return nil
}

func onCircle(a quantity.Degrees) bool { return a >= 0 && a <= 360 }

// wrap brings an angle into 0 <= angle < 360.
func wrap(angle float64) float64 {
	angle = math.Mod(angle, 360)
	if angle < 0 {
		angle += 360
	}
	return angle
}

func (g Gap) contains(angle float64) bool {
	return wrap(angle-float64(g.From)) < wrap(float64(g.To-g.From))
}
