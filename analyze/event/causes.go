package event

import (
	"slices"

	"arctally/analyze/finding"
)

// Cause is what most likely brought findings about, in words.
type Cause string

// The causes that have a row of their own; what no row has, has the cause of its rule.
const (
	Setting      Cause = "set-point off the procedure"
	Slip         Cause = "slip of the wire"
	FastWire     Cause = "wire fed too fast"
	GasLost      Cause = "loss of gas"
	MuchGas      Cause = "too much gas"
	WorkCircuit  Cause = "wire feed or work clamp"
	LeadOff      Cause = "wire frozen, or lead of the voltage off"
	ArcLost      Cause = "arc lost"
	Stopped      Cause = "pass stopped short"
	Stubs        Cause = "wire stubs: contact tip or set voltage"
	Program      Cause = "settings for another procedure"
	TipWorn      Cause = "contact tip worn"
	Distance     Cause = "distance from tip to wall"
	SetVoltage   Cause = "set voltage or its leads"
	Rotation     Cause = "speed of the rotation"
	ArcLength    Cause = "length of the arc"
	OffCentre    Cause = "torch off the centre"
	OvalBore     Cause = "oval bore"
	FlawOfWall   Cause = "flaw of the wall"
	Interpass    Cause = "time between the passes"
	Restart      Cause = "place of the restart"
	Unknown      Cause = "cause not known"
	GapElsewhere Cause = "gap at another angle than planned, or angle lost"
)

// side is on which side of its limit a finding lies.
type side uint8

const (
	either side = iota
	below
	above
)

// extent is whether a finding has a place of its own, or concerns a whole pass.
type extent uint8

const (
	anyExtent extent = iota
	placed
	whole
)

// sign is what a finding shows.
type sign struct {
	rule   finding.Rule
	side   side
	extent extent
}

func (s sign) of(f *finding.Finding) bool {
	return s.rule == f.Rule &&
		(s.side == either || (s.side == below) == f.Below()) &&
		(s.extent == anyExtent || (s.extent == whole) == f.Whole())
}

func all(rules ...finding.Rule) []sign  { return signs(either, anyExtent, rules) }
func low(rules ...finding.Rule) []sign  { return signs(below, anyExtent, rules) }
func high(rules ...finding.Rule) []sign { return signs(above, anyExtent, rules) }

func signs(on side, over extent, rules []finding.Rule) (list []sign) {
	for _, rule := range rules {
		list = append(list, sign{rule, on, over})
	}
	return list
}

func join(parts ...[]sign) []sign { return slices.Concat(parts...) }

// cause is one row: by what it is told, from what leads to what does not, and what shows with
// it. Where needs is not empty, one of these must show with it.
type cause struct {
	name  Cause
	tells []sign
	shows []sign
	needs []sign
}

// rhythm is how the metal goes over: whatever disturbs the arc, changes it.
var rhythm = []finding.Rule{finding.ShortRate, finding.PulseRate, finding.VoltageRisen, finding.TransferMode}

// restless is what a disturbed arc sums up to over its pass.
var restless = []finding.Rule{finding.BriefArcOuts, finding.Instability}

// table has the causes, the surest first: a row takes what shows with it from all that follow.
// Which signs tell what is common practice, without a source; the order is ours.
//
// A wire that slips brings less metal: the current falls, and the arc grows longer, so that the
// voltage rises. Gas that is lost leaves a restless arc at a higher voltage. A tip that is worn, or
// stands further from the wall, takes current from the same wire. A set-point that is wrong is so from
// the first second of a pass to its last, and nothing else is.
var table = []cause{
	{
		name:  Slip,
		tells: join(signs(below, placed, []finding.Rule{finding.WireSpeed}), high(finding.WireSlip)),
		shows: join(low(finding.Current, finding.ArcOnRatio, finding.HeatInput), high(finding.Voltage, finding.GasSignature, finding.ArcUnrest, finding.Stubbing),
			all(rhythm...), all(restless...), all(finding.ArcOut, finding.VoltageOnly)),
	},
	{
		name:  GasLost,
		tells: low(finding.GasFlow),
		shows: join(high(finding.GasSignature, finding.ArcUnrest, finding.Stubbing), all(finding.Voltage, finding.Current, finding.HeatInput, finding.ArcOut),
			all(rhythm...), all(restless...)),
	},
	{
		name:  Setting,
		tells: signs(either, whole, []finding.Rule{finding.WireSpeed, finding.Voltage, finding.Current}),
		shows: join(all(rhythm...), all(restless...), all(finding.HeatInput), high(finding.Stubbing, finding.GasSignature, finding.ArcUnrest)),
	},
	{
		name:  FastWire,
		tells: high(finding.WireSpeed),
		shows: join(high(finding.Current, finding.Stubbing, finding.HeatInput), low(finding.Voltage), all(rhythm...), all(restless...)),
	},
	{name: MuchGas, tells: high(finding.GasFlow), shows: join(high(finding.ArcUnrest), all(restless...))},
	{
		name:  LeadOff,
		tells: all(finding.CurrentOnly),
		shows: join(low(finding.Voltage, finding.ArcOnRatio, finding.HeatInput), high(finding.Current), all(finding.ArcOut), all(restless...), all(rhythm...)),
	},
	{
		name:  WorkCircuit,
		tells: all(finding.VoltageOnly, finding.WireWithoutArc),
		shows: join(low(finding.Current, finding.ArcOnRatio, finding.HeatInput), all(finding.ArcOut), all(restless...), all(rhythm...)),
	},
	{
		name: GapElsewhere, needs: all(finding.ArcInGap), // out beside the gap, and on within it
		tells: all(finding.ArcInGap, finding.ArcOut),
		shows: join(low(finding.ArcOnRatio, finding.HeatInput), all(rhythm...), all(restless...)),
	},
	{
		name:  ArcLost,
		tells: all(finding.ArcOut),
		shows: join(low(finding.ArcOnRatio, finding.HeatInput), all(finding.Voltage, finding.Current), high(finding.Stubbing, finding.GasSignature, finding.ArcUnrest),
			all(restless...), all(rhythm...)),
	},
	{name: Stopped, tells: all(finding.Interrupted), shows: join(low(finding.ArcOnRatio), all(finding.HeatInput))},
	{
		name:  Stubs,
		tells: all(finding.Stubbing),
		shows: join(low(finding.Voltage), all(finding.Current, finding.HeatInput), high(finding.GasSignature, finding.ArcUnrest), all(restless...), all(rhythm...)),
	},
	{
		name:  Program,
		tells: all(finding.TransferMode),
		shows: join(all(finding.Voltage, finding.Current, finding.HeatInput), high(finding.GasSignature, finding.ArcUnrest), all(restless...), all(rhythm...)),
	},
	{
		name:  Distance,
		tells: low(finding.Current),
		needs: high(finding.Voltage),
		shows: join(high(finding.Voltage, finding.GasSignature, finding.ArcUnrest), all(rhythm...), all(finding.HeatInput), all(restless...)),
	},
	{
		name:  Distance,
		tells: high(finding.Current),
		needs: low(finding.Voltage),
		shows: join(low(finding.Voltage), all(rhythm...), all(finding.HeatInput), all(restless...)),
	},
	{
		name:  SetVoltage,
		tells: high(finding.Voltage),
		shows: join(high(finding.Current, finding.HeatInput, finding.GasSignature, finding.ArcUnrest), all(rhythm...), all(restless...)),
	},
	{
		name:  SetVoltage,
		tells: low(finding.Voltage),
		shows: join(low(finding.Current, finding.HeatInput), all(rhythm...), all(restless...)),
	},
	{name: TipWorn, tells: high(finding.CurrentFall, finding.ContactDrift), shows: join(low(finding.Current, finding.HeatInput), all(restless...), all(rhythm...))},
	{name: Distance, tells: join(all(finding.Current), low(finding.ContactDrift)), shows: join(all(rhythm...), all(finding.HeatInput), all(restless...))},
	{name: GasLost, tells: high(finding.GasSignature, finding.ArcUnrest), shows: join(all(rhythm...), all(restless...), all(finding.HeatInput))},
	{name: ArcLength, tells: all(rhythm...), shows: all(restless...)},
	{name: Rotation, tells: low(finding.TravelSpeed), shows: join(high(finding.HeatInput))},
	{name: Rotation, tells: high(finding.TravelSpeed), shows: join(low(finding.HeatInput))},
	{name: Restart, tells: all(finding.LeftOut, finding.WeldedOver)},
	{name: Interpass, tells: all(finding.Interpass)},
	{name: OffCentre, tells: all(finding.OffCentre)},
	{name: OvalBore, tells: all(finding.OvalBore)},
}

// ofWall is what a flaw of the wall can bring about by itself.
var ofWall = join(all(finding.ArcOut, finding.Voltage, finding.Current, finding.WallPatch, finding.Stubbing, finding.HeatInput), low(finding.ArcOnRatio),
	all(rhythm...), all(restless...))

// sums are what a whole pass comes to. They lead only where nothing of their pass explains them.
var sums = all(finding.HeatInput, finding.ArcOnRatio, finding.BriefArcOuts, finding.Instability)

// turning are the causes that come again on every turn, and belong together by their angle.
var turning = []Cause{OffCentre, OvalBore, GapElsewhere}

// once are what concerns a whole pass or layer and is a matter of that one alone.
var once = all(finding.StrokeCount, finding.ArcOnReturn)

// causeOf is the likeliest cause of a finding that no row has.
func causeOf(f *finding.Finding) Cause {
	if cause := finding.CauseOf(f.Rule); cause != "" {
		return Cause(cause)
	}
	return Unknown
}

func has(signs []sign, f *finding.Finding) bool {
	return slices.ContainsFunc(signs, func(s sign) bool { return s.of(f) })
}
