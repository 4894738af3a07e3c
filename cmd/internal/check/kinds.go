package check

import (
	"context"
	"slices"
	"strings"

	"arctally/acquire/calib"
	"arctally/acquire/quantity"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/pairs"
)

// Kind is one of the checks: its keys, and how it is carried out.
type Kind struct {
	Subject      calib.Subject
	What         string
	Needs, Takes []string
	Rows         []string // keys whose figures belong together, row by row
	prepare      func(ctx context.Context, in *pairs.Input, site *Site) (checkable, error)
}

// checkable is a check with its figures.
type checkable interface{ Check() (*calib.Check, error) }

// Kinds are all checks, in the order of setting up.
var Kinds = []Kind{
	{calib.ZeroCheck, "a sensor with the arc and the power source off", []string{"channel"}, []string{"reading", "every", "box"}, []string{"reading"}, prepareZero},
	{
		calib.MeterCheck, "readings against a reference meter at three points or more, better four: two correct a channel, and tell nothing of its uncertainty",
		[]string{"channel", "reference", "instrument"},
		[]string{"reading", "reference-uncertainty", "resolution", "box"},
		[]string{"reading", "reference"},
		prepareMeter,
	},
	{
		calib.WireCheck, "a measured length of wire in a measured time, and how long to run for a wanted uncertainty",
		[]string{"length", "time", "instrument"},
		[]string{"reading", "length-limits", "time-limits", "wanted", "box"},
		[]string{"length", "time"},
		prepareWire,
	},
	{
		calib.RotationCheck, "timed turns of the torch",
		[]string{"turns", "time", "instrument"},
		[]string{"counted", "turn-limits", "time-limits"},
		[]string{"turns", "time", "counted"},
		prepareRotation,
	},
	{
		calib.CentringCheck, "the distance from torch to wall by angle, on a slow dry turn",
		[]string{"angle", "distance", "instrument"},
		[]string{"distance-limits"},
		[]string{"angle", "distance"},
		prepareCentring,
	},
}

// KindOf finds a check by its name.
func KindOf(subject string) (Kind, error) {
	k := slices.IndexFunc(Kinds, func(k Kind) bool { return string(k.Subject) == subject })
	if k < 0 {
		return Kind{}, Misuse("there is no check %q; there are %s", subject, Names())
	}
	return Kinds[k], nil
}

// Names lists the checks.
func Names() string {
	var names []string
	for _, k := range Kinds {
		names = append(names, string(k.Subject))
	}
	return strings.Join(names, ", ")
}

// Usage is the list of checks in the help.
func Usage() string {
	var b strings.Builder
	for _, k := range Kinds {
		b.WriteString("  " + string(k.Subject) + ": " + k.What + "\n        " + k.usage() + "\n")
	}
	b.WriteString("  Every check also takes by= certificate= due= done=, and instrument=. Readings are as the sensor gives them, uncorrected.\n" +
		"  Several figures are parted by semicolons or blanks, each with its unit or the last with that of all: reading=\"10.1 20.3 30.2 V\".\n" +
		"  What belongs together may stand in rows, in the order of the keys: pair=10.1V:10V pair=20.3V:20V is reading= and reference=.\n" +
		"  A value outside of what is usual is asked for again: sure=\"reading 900 V\" keeps it, and the record says so.")
	return b.String()
}

// carryOut reads the figures and does the sums.
func (k Kind) carryOut(ctx context.Context, in *pairs.Input, site *Site) (*calib.Check, error) {
	figures, err := k.prepare(ctx, in, site)
	if err != nil {
		return nil, err
	}
	if in.Wrong != nil {
		return nil, in.Wrong
	}
	c, err := figures.Check()
	if err != nil {
		return nil, err
	}
	doubtOutcomes(in, c)
	kept, err := in.Settle()
	for _, d := range kept {
		c.Notes = append(c.Notes, d.Kept())
	}
	return c, err
}

// Channel is a channel that can be checked, in the unit of its calibration.
type Channel struct {
	Name, unit string
	read       pairs.Reader
	setPoint   func(*jobfile.File) float64 // 0 is not declared
	Zero       bool                        // it has one with the arc off
}

// Channels are those that can be checked.
var Channels = []Channel{
	{"voltage", "V", pairs.ReadIn[quantity.Volts]("V"), func(p *jobfile.File) float64 { return float64(p.Job.Setpoints.Voltage) }, true},
	{"current", "A", pairs.ReadIn[quantity.Amperes]("A"), func(p *jobfile.File) float64 { return float64(p.Job.Setpoints.Current) }, true},
	{"wire_speed", "m/s", pairs.ReadIn[quantity.MetresPerSecond]("m/s"), func(p *jobfile.File) float64 { return float64(p.Job.Setpoints.WireSpeed) }, true},
	{"gas_flow", "L/min", pairs.ReadIn[quantity.CubicMetresPerSecond]("L/min"), middleOfGas, true},
	{"temperature", "degC", pairs.ReadIn[quantity.Celsius]("degC"), func(*jobfile.File) float64 { return 0 }, false},
}

// middleOfGas is the middle of the procedure's window, where it has two limits.
func middleOfGas(p *jobfile.File) float64 {
	flow := p.Job.Procedure.Limits.GasFlow
	if !flow.HasLow || !flow.HasHigh {
		return 0
	}
	return quantity.In((flow.Low+flow.High)/2, "L/min")
}

// channelOf is the channel that is named, one that has a zero where that is checked.
func channelOf(in *pairs.Input, zero bool) (Channel, error) {
	var names []string
	in.Of = in.Text("channel")
	for _, c := range Channels {
		if !zero || c.Zero {
			names = append(names, c.Name)
			if c.Name == in.Of {
				return c, nil
			}
		}
	}
	return Channel{}, Misuse("channel=%s: write one of %s", in.Text("channel"), strings.Join(names, ", "))
}

func prepareZero(ctx context.Context, in *pairs.Input, site *Site) (checkable, error) {
	channel, err := channelOf(in, true)
	if err != nil {
		return nil, err
	}
	z := calib.Zero{Channel: channel.Name, Unit: channel.unit, At: channel.setPoint(site.Job)}
	if site.live() {
		m, err := site.measure(ctx, in, channel)
		z.Readings, z.Seconds, z.InForce = m.values, m.seconds, site.calibration(channel.Name)
		return z, err
	}
	site.typedOf(in, channel.Name)
	z.InForce = site.calibration(channel.Name)
	z.Readings = in.List("reading", channel.read)
	if in.Has("every") {
		every := in.One("every", pairs.ReadIn[quantity.Seconds]("s"), 0)
		for k := range z.Readings {
			z.Seconds = append(z.Seconds, float64(k)*every)
		}
	}
	return z, site.typed(in)
}

func prepareMeter(ctx context.Context, in *pairs.Input, site *Site) (checkable, error) {
	channel, err := channelOf(in, false)
	if err != nil {
		return nil, err
	}
	m := calib.Meter{
		Channel: channel.Name, Unit: channel.unit, At: channel.setPoint(site.Job),
		Reference: in.List("reference", channel.read), Step: in.One("resolution", channel.read, 0),
	}
	if text := in.Text("reference-uncertainty"); strings.HasSuffix(text, "%") {
		m.ReferenceRelative = in.One("reference-uncertainty", pairs.ReadIn[quantity.Ratio](""), 0)
	} else {
		m.ReferenceU = in.One("reference-uncertainty", channel.read, 0)
	}
	if !site.live() {
		site.typedOf(in, channel.Name)
		m.Reading = in.List("reading", channel.read)
		return m, site.typed(in)
	}
	if err := in.Ready(); err != nil {
		return nil, err
	}
	for k := range m.Reference {
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

func prepareWire(ctx context.Context, in *pairs.Input, site *Site) (checkable, error) {
	metres, seconds := pairs.ReadIn[quantity.Metres]("m"), pairs.ReadIn[quantity.Seconds]("s")
	w := calib.WireRun{
		Length: in.List("length", metres), Time: in.List("time", seconds),
		LengthLimits: in.One("length-limits", metres, calib.DefaultLengthLimits),
		TimeLimits:   in.One("time-limits", seconds, calib.DefaultTimeLimits),
		Wanted:       in.One("wanted", pairs.ReadIn[quantity.Ratio](""), calib.DefaultWanted),
		Set:          float64(site.Job.Setpoints.WireSpeed),
		Reading:      in.List("reading", pairs.ReadIn[quantity.MetresPerSecond]("m/s")),
	}
	if !site.live() {
		if w.Reading != nil || in.Has("box") {
			site.typedOf(in, "wire_speed")
		}
		return w, nil
	}
	if err := in.Ready(); err != nil {
		return nil, err
	}
	channel := Channels[slices.IndexFunc(Channels, func(c Channel) bool { return c.Name == "wire_speed" })]
	m, err := site.measure(ctx, in, channel)
	if err != nil {
		return nil, err
	}
	w.Reading = []float64{m.mean()}
	return w, nil
}

func prepareRotation(_ context.Context, in *pairs.Input, site *Site) (checkable, error) {
	seconds, plain := pairs.ReadIn[quantity.Seconds]("s"), pairs.ReadIn[quantity.Ratio]("")
	return calib.TimedTurn{
		Turns: in.List("turns", plain), Time: in.List("time", seconds), Counted: in.List("counted", plain),
		TurnLimits: in.One("turn-limits", pairs.ReadIn[quantity.Degrees]("deg"), 360*calib.DefaultTurnLimits) / 360,
		TimeLimits: in.One("time-limits", seconds, calib.DefaultTimeLimits),
		Declared:   float64(site.Job.Rotation.Speed),
	}, site.typedOnly()
}

func prepareCentring(_ context.Context, in *pairs.Input, site *Site) (checkable, error) {
	return calib.Centring{
		Angle: in.List("angle", pairs.ReadIn[quantity.Degrees]("deg")), Distance: in.List("distance", pairs.ReadIn[quantity.Metres]("mm")),
		DistanceLimits: in.One("distance-limits", pairs.ReadIn[quantity.Metres]("mm"), calib.DefaultDistanceLimits),
	}, site.typedOnly()
}

func (k Kind) keys() pairs.Keys {
	return pairs.Keys{Command: "check", Subject: string(k.Subject), Needs: k.Needs, Takes: k.Takes, Common: CommonKeys}
}

// Read takes the pairs of a check.
func (k Kind) Read(typed []string) (*pairs.Input, error) {
	lists, err := k.fromRows(typed)
	if err != nil {
		return nil, err
	}
	return k.keys().Read(lists)
}

// usage shows the keys of a check.
func (k Kind) usage() string {
	return k.keys().Usage() + " [" + PairKey + "=" + strings.Join(k.Rows, ":") + "...]"
}
