package main

import (
	"context"
	"slices"
	"strings"

	"arctally/acquire/calib"
	"arctally/acquire/quantity"
)

// checkKind is one of the checks: its keys, and how it is carried out.
type checkKind struct {
	subject      calib.Subject
	what         string
	needs, takes []string
	prepare      func(ctx context.Context, in *lineInput, site *checkSite) (checkable, error)
}

// checkable is a check with its figures.
type checkable interface{ Check() (*calib.Check, error) }

var checkKinds = []checkKind{
	{calib.ZeroCheck, "a sensor with the arc and the power source off", []string{"channel"}, []string{"reading", "every"}, prepareZero},
	{
		calib.MeterCheck, "readings against a reference meter at two points or more",
		[]string{"channel", "reference", "instrument"},
		[]string{"reading", "reference-uncertainty"},
		prepareMeter,
	},
	{
		calib.WireCheck, "a measured length of wire in a measured time, and how long to run for a wanted uncertainty",
		[]string{"length", "time", "instrument"},
		[]string{"reading", "length-limits", "time-limits", "wanted"},
		prepareWire,
	},
	{
		calib.RotationCheck, "timed turns of the torch",
		[]string{"turns", "time", "instrument"},
		[]string{"counted", "turn-limits", "time-limits"},
		prepareRotation,
	},
	{
		calib.CentringCheck, "the distance from torch to wall by angle, on a slow dry turn",
		[]string{"angle", "distance", "instrument"},
		[]string{"distance-limits"},
		prepareCentring,
	},
}

func checkKindOf(subject string) (checkKind, error) {
	k := slices.IndexFunc(checkKinds, func(k checkKind) bool { return string(k.subject) == subject })
	if k < 0 {
		return checkKind{}, checkMisuse("there is no check %q; there are %s", subject, checkNames())
	}
	return checkKinds[k], nil
}

func checkNames() string {
	var names []string
	for _, k := range checkKinds {
		names = append(names, string(k.subject))
	}
	return strings.Join(names, ", ")
}

// checkUsage is the list of checks in the help.
func checkUsage() string {
	var b strings.Builder
	for _, k := range checkKinds {
		b.WriteString("  " + string(k.subject) + ": " + k.what + "\n        " + k.usage() + "\n")
	}
	b.WriteString("  Every check also takes by= certificate= due= done=, and instrument=. Readings are as the sensor gives them, uncorrected.\n" +
		"  Several figures are parted by commas, each with its unit.")
	return b.String()
}

// carryOut reads the figures and does the sums.
func (k checkKind) carryOut(ctx context.Context, in *lineInput, site *checkSite) (*calib.Check, error) {
	c, err := k.prepare(ctx, in, site)
	if err != nil {
		return nil, err
	}
	if in.wrong != nil {
		return nil, in.wrong
	}
	return c.Check()
}

// checkChannel is a channel that can be checked, in the unit of its calibration.
type checkChannel struct {
	name, unit string
	read       func(text string) (float64, error)
	setPoint   func(*plan) float64 // 0 is not declared
	zero       bool                // it has one with the arc off
}

var checkChannels = []checkChannel{
	{"voltage", "V", readIn[quantity.Volts]("V"), func(p *plan) float64 { return float64(p.job.Setpoints.Voltage) }, true},
	{"current", "A", readIn[quantity.Amperes]("A"), func(p *plan) float64 { return float64(p.job.Setpoints.Current) }, true},
	{"wire_speed", "m/s", readIn[quantity.MetresPerSecond]("m/s"), func(p *plan) float64 { return float64(p.job.Setpoints.WireSpeed) }, true},
	{"gas_flow", "L/min", readIn[quantity.CubicMetresPerSecond]("L/min"), middleOfGas, true},
	{"temperature", "degC", readIn[quantity.Celsius]("degC"), func(*plan) float64 { return 0 }, false},
}

// middleOfGas is the middle of the procedure's window, where it has two limits.
func middleOfGas(p *plan) float64 {
	flow := p.job.Procedure.Limits.GasFlow
	if !flow.HasLow || !flow.HasHigh {
		return 0
	}
	return quantity.In((flow.Low+flow.High)/2, "L/min")
}

// checkChannelOf is the channel that is named, one that has a zero where that is checked.
func checkChannelOf(in *lineInput, zero bool) (checkChannel, error) {
	var names []string
	for _, c := range checkChannels {
		if !zero || c.zero {
			names = append(names, c.name)
			if c.name == in.text("channel") {
				return c, nil
			}
		}
	}
	return checkChannel{}, checkMisuse("channel=%s: write one of %s", in.text("channel"), strings.Join(names, ", "))
}

func prepareZero(ctx context.Context, in *lineInput, site *checkSite) (checkable, error) {
	channel, err := checkChannelOf(in, true)
	if err != nil {
		return nil, err
	}
	z := calib.Zero{Channel: channel.name, Unit: channel.unit, At: channel.setPoint(site.plan), InForce: site.calibration(channel.name)}
	if site.live() {
		m, err := site.measure(ctx, in, channel)
		z.Readings, z.Seconds = m.values, m.seconds
		return z, err
	}
	z.Readings = in.list("reading", channel.read)
	if in.has("every") {
		every := in.one("every", readIn[quantity.Seconds]("s"), 0)
		for k := range z.Readings {
			z.Seconds = append(z.Seconds, float64(k)*every)
		}
	}
	return z, site.typed(in)
}

func prepareMeter(ctx context.Context, in *lineInput, site *checkSite) (checkable, error) {
	channel, err := checkChannelOf(in, false)
	if err != nil {
		return nil, err
	}
	m := calib.Meter{
		Channel: channel.name, Unit: channel.unit, At: channel.setPoint(site.plan),
		Reference: in.list("reference", channel.read),
	}
	if text := in.text("reference-uncertainty"); strings.HasSuffix(text, "%") {
		m.ReferenceRelative = in.one("reference-uncertainty", readIn[quantity.Ratio](""), 0)
	} else {
		m.ReferenceU = in.one("reference-uncertainty", channel.read, 0)
	}
	if !site.live() {
		m.Reading = in.list("reading", channel.read)
		return m, site.typed(in)
	}
	for k := range m.Reference {
		if in.wrong != nil {
			break
		}
		if err := site.waitFor(ctx, m.Reference[k], channel.unit); err != nil {
			return nil, err
		}
		measured, err := site.measure(ctx, in, channel)
		if err != nil {
			return nil, err
		}
		m.Reading = append(m.Reading, measured.mean())
	}
	return m, nil
}

func prepareWire(ctx context.Context, in *lineInput, site *checkSite) (checkable, error) {
	metres, seconds := readIn[quantity.Metres]("m"), readIn[quantity.Seconds]("s")
	w := calib.WireRun{
		Length: in.list("length", metres), Time: in.list("time", seconds),
		LengthLimits: in.one("length-limits", metres, calib.DefaultLengthLimits),
		TimeLimits:   in.one("time-limits", seconds, calib.DefaultTimeLimits),
		Wanted:       in.one("wanted", readIn[quantity.Ratio](""), calib.DefaultWanted),
		Set:          float64(site.plan.job.Setpoints.WireSpeed),
		Reading:      in.list("reading", readIn[quantity.MetresPerSecond]("m/s")),
	}
	if !site.live() || in.wrong != nil {
		return w, nil
	}
	channel := checkChannels[slices.IndexFunc(checkChannels, func(c checkChannel) bool { return c.name == "wire_speed" })]
	m, err := site.measure(ctx, in, channel)
	if err != nil {
		return nil, err
	}
	w.Reading = []float64{m.mean()}
	return w, nil
}

func prepareRotation(_ context.Context, in *lineInput, site *checkSite) (checkable, error) {
	seconds, plain := readIn[quantity.Seconds]("s"), readIn[quantity.Ratio]("")
	return calib.TimedTurn{
		Turns: in.list("turns", plain), Time: in.list("time", seconds), Counted: in.list("counted", plain),
		TurnLimits: in.one("turn-limits", readIn[quantity.Degrees]("deg"), 360*calib.DefaultTurnLimits) / 360,
		TimeLimits: in.one("time-limits", seconds, calib.DefaultTimeLimits),
		Declared:   float64(site.plan.job.Rotation.Speed),
	}, site.typedOnly()
}

func prepareCentring(_ context.Context, in *lineInput, site *checkSite) (checkable, error) {
	return calib.Centring{
		Angle: in.list("angle", readIn[quantity.Degrees]("deg")), Distance: in.list("distance", readIn[quantity.Metres]("mm")),
		DistanceLimits: in.one("distance-limits", readIn[quantity.Metres]("mm"), calib.DefaultDistanceLimits),
	}, site.typedOnly()
}
