package heat

import (
	"fmt"
	"math"

	"arctally/acquire/calib"
)

// Limits that stand in where nothing better is known, each the half-width of a
// rectangular distribution.
const (
	standInVoltage  = 0.02
	standInCurrent  = 0.03
	standInDiameter = 0.01
	standInRhythm   = 0.01
	standInTravel   = 0.05
	standInDeposit  = 0.10
	standInPower    = 0.30
)

// Where the stand-ins come from, and how far the source was read.
const (
	fieldMeter     = "upper figure for a field instrument in NT ELEC 028 (read)"
	customary      = "common practice, no source"
	averagedArcs   = "size of the error of meter averages in an article of 2010 on the heat input rules of Section IX (read)"
	depositRange   = "common practice, no source; deposition efficiency alone is quoted from 92 to 99 %"
	stepOfScale    = "one step of the channel's scale over the mean of the pass"
	stepOfTravel   = "one step of the readings of the travel over that of the pass"
	endsOfTurns    = "how far the turns of the pass are known at its two ends"
	betweenTwo     = "what changed between the last two calibrations may change again"
	arcInGap       = "in the time without data the arc may have put down nothing, or twice as much"
	byDefinition   = "k is a convention of the definition, not a measurement"
	calibrationAlt = "calibration on record"
)

// The names of the components; the first three are those of the channels.
const (
	Voltage           = "voltage"
	Current           = "current"
	Travel            = "travel"
	VoltageResolution = "voltage resolution"
	CurrentResolution = "current resolution"
	VoltageDrift      = "voltage drift"
	CurrentDrift      = "current drift"
	TravelDrift       = "travel drift"
	TurnResolution    = "turn count"
	TravelResolution  = "travel resolution"
	Rhythm            = "rhythm"
	LayerThickness    = "layer thickness"
	AveragedPower     = "averaged power"
	MissingData       = "missing data"
	Skew              = "skew"
	Filters           = "filters"
	Leads             = "leads"
	Clock             = "clock"
	Efficiency        = "efficiency k"
)

// Instrument is what is known of the instrument of one channel.
type Instrument struct {
	Calibration calib.Calibration  // in force; zero where there is none
	Before      *calib.Calibration // the one that it replaced
	// Elsewhere says of which box the calibrations on record are, where they do not
	// hold for the one that measured; empty is no reason.
	Elsewhere string
}

// Doubt is what is known of the instruments that a heat input rests on.
type Doubt struct{ Voltage, Current, Travel Instrument }

// DoubtOf takes calibrations in the order of time, the one in force last: those
// of the channels voltage, current and travel.
func DoubtOf(calibrations []calib.Calibration) Doubt {
	var d Doubt
	for _, c := range calibrations {
		switch c.Channel {
		case Voltage:
			d.Voltage.replace(c)
		case Current:
			d.Current.replace(c)
		case Travel:
			d.Travel.replace(c)
		}
	}
	return d
}

// Worse is what is known where both hold one after the other: of each instrument that
// which has no calibration, if one has none.
func (d Doubt) Worse(next Doubt) Doubt {
	return Doubt{d.Voltage.worse(next.Voltage), d.Current.worse(next.Current), d.Travel.worse(next.Travel)}
}

func (i Instrument) worse(next Instrument) Instrument {
	if next.Calibration.Relative <= 0 {
		return next
	}
	return i
}

func (i *Instrument) replace(c calib.Calibration) {
	if i.Calibration.Channel != "" && i.Calibration != c {
		before := i.Calibration
		i.Before = &before
	}
	i.Calibration = c
}

// Circumstances are what else a heat input of one pass rests on. A zero is not
// known, and makes no component.
type Circumstances struct {
	Travel       TravelBasis
	Turning      bool    // the travel is a way round a bore
	Voltage      float64 // mean in V
	Current      float64 // mean in A
	VoltageScale float64 // V in one code, before calibration
	CurrentScale float64 // A in one code
	// Followed is set where the way of the torch itself is measured, and no turns;
	// FollowedStep is the half-width of what the steps of its readings leave open.
	Followed     bool
	FollowedStep float64
	Signals      Signals
	Swing        Swing
	// Counted is the relative standard uncertainty of turns that are counted.
	Counted float64
	// Rhythm is the relative standard uncertainty of a derived rotation.
	Rhythm float64
	// BuiltUp is the metal under the layer, on both sides, over its diameter.
	BuiltUp float64
	// AveragedPower is set where the power is that of readings that are means, or too
	// slow, and the limits rest on true power.
	AveragedPower bool
	// Means is set where the power is mean voltage times mean current, whatever the
	// limits rest on.
	Means bool
	// Missing is the share of the pass for which there is no data: in it the
	// arc may have put down nothing, or twice as much.
	Missing float64
}

// usual is how many components a budget has at most in the usual case.
const usual = 14

// Budget returns why the heat input of a pass is not known better. The GUM's
// evaluation of each component: a calibration gives its standard uncertainty, limits
// +-a give a/sqrt(3), a step gives step/sqrt(12).
func (d Doubt) Budget(c Circumstances) Budget {
	b := make(Budget, 0, usual)
	b.electrical(d.Voltage, Voltage, VoltageResolution, VoltageDrift, standInVoltage, c.Voltage, c.VoltageScale)
	b.electrical(d.Current, Current, CurrentResolution, CurrentDrift, standInCurrent, c.Current, c.CurrentScale)
	b.travel(d.Travel, c)
	b.signals(c)
	if c.AveragedPower {
		b.limits(AveragedPower, standInPower, StandIn, averagedArcs)
	}
	if c.Missing > 0 {
		b.limits(MissingData, c.Missing, Measured, arcInGap)
	}
	return append(b, Component{Name: Efficiency, Distribution: Exact, Basis: Declared, Source: byDefinition})
}

// electrical adds the components of voltage or current.
func (b *Budget) electrical(i Instrument, name, step, drift string, standIn, mean, scale float64) {
	if !b.calibrated(i, name) {
		b.limits(name, standIn, StandIn, fieldMeter)
		(*b)[len(*b)-1].Elsewhere = i.Elsewhere
	}
	if mean != 0 && scale != 0 {
		gain := i.Calibration.Gain
		if gain == 0 {
			gain = 1
		}
		*b = append(*b, Component{
			Name: step, Uncertainty: math.Abs(resolution(scale * gain / mean)), Distribution: Rectangular, Basis: Declared, Source: stepOfScale,
		})
	}
	b.drift(i, drift, mean)
}

// calibrated adds the standard uncertainty of a calibration, where it has one.
func (b *Budget) calibrated(i Instrument, name string) bool {
	c := i.Calibration
	if c.Relative <= 0 {
		return false
	}
	source := calibrationAlt
	if c.Certificate != "" {
		source = "certificate " + c.Certificate
	}
	if c.Date != "" {
		source += " of " + c.Date
	}
	*b = append(*b, Component{
		Name: name, Uncertainty: c.Relative, Distribution: Normal, Freedom: c.Freedom, Basis: Measured,
		Source: source, Done: c.Date, Due: c.Due,
	})
	return true
}

// drift adds by how much the last calibration has corrected the one before it, at the
// mean of the pass: half-width a of a rectangle, with gain g and offset o of the
// calibration in force, g' and o' of the one before, and the mean m as corrected by the
// first:
//
//	a = | (m - o)/g*g' + o' - m | / |m|
//
// Ours: what the older line makes of the same code, against what the newer one does.
func (b *Budget) drift(i Instrument, name string, mean float64) {
	if i.Before == nil || mean == 0 || i.Calibration.Gain == 0 || i.Before.Gain == 0 {
		return
	}
	change := math.Abs(i.Before.Of(i.Calibration.Reading(mean))-mean) / math.Abs(mean)
	b.limits(name, change, Measured, betweenTwo)
}

// limits adds a rectangular component of half-width a.
func (b *Budget) limits(name string, a float64, basis Basis, source string) {
	if basis == StandIn {
		source = fmt.Sprintf("±%.2g %%: %s", 100*a, source)
	}
	*b = append(*b, Component{Name: name, Uncertainty: rectangular(a), Distribution: Rectangular, Basis: basis, Source: source})
}

// travel adds what the way of the torch rests on. A travel that is counted, or
// derived from a rhythm, is as good as the diameter it goes round.
func (b *Budget) travel(i Instrument, c Circumstances) {
	from := len(*b)
	switch {
	case b.calibrated(i, Travel):
	case c.Followed:
		b.limits(Travel, standInTravel, StandIn, "travel as its sensor has it; "+customary)
	case c.Travel == TravelMeasured || c.Travel == TravelDerived:
		b.limits(Travel, standInDiameter, StandIn, "diameter of the bore as declared; "+customary)
	default:
		b.limits(Travel, standInTravel, StandIn, "travel as declared; "+customary)
	}
	switch {
	case c.Followed && c.FollowedStep > 0:
		b.limits(TravelResolution, c.FollowedStep, Measured, stepOfTravel)
	case c.Travel == TravelMeasured && c.Counted > 0:
		*b = append(*b, Component{Name: TurnResolution, Uncertainty: c.Counted, Distribution: Normal, Basis: Measured, Source: endsOfTurns})
	case c.Travel == TravelDerived && c.Rhythm > 0:
		*b = append(*b, Component{Name: Rhythm, Uncertainty: c.Rhythm, Distribution: Normal, Basis: Measured, Source: "the rhythm of the signal itself"})
	case c.Travel == TravelDerived:
		b.limits(Rhythm, standInRhythm, StandIn, "period of the signal's rhythm; "+customary)
	}
	if c.Turning && c.BuiltUp > 0 {
		b.limits(LayerThickness, standInDeposit*c.BuiltUp, StandIn, fmt.Sprintf("%g %% of the metal under the layer; %s", 100*standInDeposit, depositRange))
	}
	b.drift(i, TravelDrift, 1)
	for k := from; k < len(*b); k++ {
		(*b)[k].Divisor = true
	}
}
