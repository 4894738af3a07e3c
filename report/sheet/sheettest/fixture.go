package sheettest

import (
	"fmt"
	"math"
	"time"

	"arctally/acquire/calib"
	"arctally/acquire/quantity"
	"arctally/acquire/series"
	"arctally/analyze"
	"arctally/analyze/bore"
	"arctally/analyze/finding"
	"arctally/analyze/heat"
	"arctally/analyze/note"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
	"arctally/analyze/rotation"
	"arctally/report/sheet"
)

// Checks are two set-up checks, the second of which holds from a moment on.
func Checks() []*calib.Check {
	done := time.Date(2026, 5, 4, 7, 40, 0, 0, time.UTC)
	return []*calib.Check{
		{
			Subject: calib.MeterCheck, Channel: "voltage", Done: done, By: "Operator 1", Instrument: "meter 3", Certificate: "C-44",
			Due: "2026-06-01", Box: "B-0007", Sentence: "corrected = reading * 1.02", Notes: []string{"take a third point"},
			TakenOver: &calib.TakenOver{Record: "first.arctally", Fingerprint: "0123456789abcdef", Number: 2, At: done.Add(200 * time.Minute), By: "Operator 2"},
		},
		{Subject: calib.CentringCheck, Done: done, By: "Operator 1", Epoch: 1, Tick: 5, Sentence: "0.7 mm off"},
	}
}

// Coursed has a run that stopped short, its second part, and what a person
// typed in before that.
func Coursed() *sheet.Sheet {
	first, second := Pass(1), Pass(2)
	first.Course = pass.Course{State: pass.Interrupted, Planned: 20, Turned: 12.5}
	second.Course = pass.Course{State: pass.Complete, Planned: 7.5, Turned: 7.5, Resumes: 1, Off: new(quantity.Degrees(-4))}
	temperature, flow := quantity.Of[quantity.Celsius](180, "degC"), quantity.Of[quantity.CubicMetresPerSecond](15, "L/min")
	second.AtStart = pass.AtStart{
		Temperature: &pass.Reading[quantity.Celsius]{Value: temperature, By: "Operator 1"},
		GasFlow:     &pass.Reading[quantity.CubicMetresPerSecond]{Value: flow},
	}
	notes := []note.Note{
		{By: "Operator 1", Tick: second.Start.Tick - 9e9, Temperature: new(quantity.Of[quantity.Celsius](300, "degC"))},
		{By: "Operator 1", Tick: second.Start.Tick - 5e9, Temperature: &temperature},
		{By: "Operator 1", Tick: second.Start.Tick + 5e9, Text: "bottle <changed>"},
	}
	return sheet.New(sheet.Input{
		RecordName: "course.arctally", Job: Job(), WallTime: Clock,
		Result: analyze.Result{Passes: []pass.Pass{first, second}, Notes: notes},
	})
}

// Unplanned are courses that each depart from the plan in one way.
var Unplanned = []pass.Course{{State: pass.Interrupted}, {State: pass.Cut}, {Resumes: 1}, {Repeats: 1}, {Missing: 2}, {Extra: true}, {Against: true}}

// Everything in this file is invented; the figures agree with one another only
// as far as a reader would notice.

func between[Q quantity.Quantity](low, high float64, unit string) quantity.Range[Q] {
	return quantity.Range[Q]{Low: quantity.Of[Q](low, unit), High: quantity.Of[Q](high, unit), HasLow: true, HasHigh: true}
}

// Job is the invented job.
func Job() *procedure.Job {
	return &procedure.Job{
		Name: "Invented loader, lower pin bore",
		Procedure: procedure.Procedure{
			Name: "TEST-01 rev 3", Process: "MAG",
			Limits: procedure.Limits{
				Voltage:     between[quantity.Volts](16.5, 19, "V"),
				Current:     between[quantity.Amperes](110, 160, "A"),
				WireSpeed:   between[quantity.MetresPerSecond](4.5, 6.5, "m/min"),
				TravelSpeed: between[quantity.MetresPerSecond](280, 420, "mm/min"),
				HeatInput:   between[quantity.JoulesPerMetre](0.25, 0.55, "kJ/mm"),
				Interpass:   quantity.Range[quantity.Celsius]{High: 250, HasHigh: true},
				GasFlow:     between[quantity.CubicMetresPerSecond](12, 18, "L/min"),
			},
			Judge: procedure.Judge{
				Definition: procedure.EN1011, Power: series.Instantaneous, AverageOver: 0.5, Dwell: 1, Hold: 0.3,
				GuardBand: 1, ArcCurrent: 15, ArcVoltage: 8, ArcOnTolerance: 0.02,
			},
		},
		Bore:        bore.Bore{WornDiameter: 0.092, FinishDiameter: 0.090, WeldToDiameter: 0.086, Length: 0.060, Axis: "horizontal"},
		Deposit:     bore.Deposit{Pattern: bore.Helix, Pitch: 0.003, WireDiameter: 0.0009, Efficiency: 0.95, Gaps: []bore.Gap{{From: 80, To: 116}}},
		Rotation:    procedure.Rotation{Speed: quantity.Of[quantity.TurnsPerSecond](1.25, "rpm")},
		Setpoints:   procedure.Setpoints{Voltage: 17.5, Current: 140, WireSpeed: quantity.Of[quantity.MetresPerSecond](5.5, "m/min"), TravelSpeed: 0.006},
		Material:    procedure.Material{Grade: "S355", Thickness: 0.03, Analysis: map[string]float64{"C": 0.18, "Mn": 1.4, "Si": 0.35}},
		Consumables: procedure.Consumables{Wire: "ER70S-6", WireBatch: "A-1187", Gas: "Ar 80 CO2 20", GasBatch: "55-20", Hydrogen: 5},
		People:      procedure.People{Operator: "Operator 1", Inspector: "Inspector 1"},
	}
}

// Clock counts ticks from a morning of spring.
func Clock(epoch int, tick int64) (time.Time, bool) {
	return time.Date(2026, 3, 2, 8, 15, 0, 123456789, time.UTC).Add(time.Duration(epoch)*time.Hour + time.Duration(tick)), true
}

// Pass is one of the layers, drifting with its number.
func Pass(number int) pass.Pass {
	drift := 1 + 0.03*float64(number%7)
	start := int64(number-1) * 1_200_000_000_000
	q := quantity.Of[quantity.JoulesPerMetre](0.36*drift, "kJ/mm")
	u := Budget().Expanded(q)
	return pass.Pass{
		Number: number, Layer: number, Pattern: bore.Helix,
		Start: pass.Moment{Tick: start}, End: pass.Moment{Tick: start + 955_250_000_000},
		Elapsed: 955.25, ArcTime: 858.75, ArcOnRatio: 858.75 / 955.25, PlannedArcOn: 0.9,
		VoltageMean: new(quantity.Volts(17.4 * drift)), CurrentMean: new(quantity.Amperes(138.5)),
		PowerMean: new(quantity.Watts(2362.5 * drift)), PowerBasis: series.Instantaneous,
		Energy: quantity.Joules(2028796.875 * drift),
		Wire:   new(quantity.Metres(78.72)), Deposit: new(quantity.Kilograms(0.3734)),
		Diameter: 0.092, StartPlace: &bore.Place{Angle: 0, AngleUncertainty: 1.25}, EndPlace: &bore.Place{Angle: 359, Depth: 0.06, AngleUncertainty: 2.5},
		Rotation: rotation.Account{Angle: rotation.ByIndex},
		Turns:    new(20.0), Travel: new(quantity.Metres(5.203)),
		TravelSpeed: new(quantity.Of[quantity.MetresPerSecond](363.5/drift, "mm/min")), TravelBasis: heat.TravelMeasured,
		ArcEnergy: new(q / 0.8), HeatInput: new(q), ExpandedUncertainty: new(u), Verdict: heat.Within, Budget: Budget(),
	}
}

// Budget combines to the 2.6 % that inventedPass doubles.
func Budget() heat.Budget {
	return heat.Budget{
		{Name: heat.Voltage, Uncertainty: 0.006, Distribution: heat.Normal, Freedom: 4, Basis: heat.Measured, Source: "certificate C-104", Due: "2027-01-12"},
		{Name: heat.Current, Uncertainty: 0.009, Distribution: heat.Normal, Basis: heat.Measured, Source: "certificate C-105", Due: "2025-01-12"},
		{Name: heat.Travel, Uncertainty: 0.0236432, Distribution: heat.Rectangular, Basis: heat.StandIn, Source: "±4.1 %: nobody measured it", Divisor: true},
		{Name: heat.Efficiency, Distribution: heat.Exact, Basis: heat.Declared, Source: "k is a convention"},
	}
}

// UnknownPass has nothing but its time.
func UnknownPass(number int) pass.Pass {
	start := int64(number-1) * 1_200_000_000_000
	return pass.Pass{
		Number: number, Start: pass.Moment{Tick: start}, End: pass.Moment{Tick: start + 1_000_000_000},
		Elapsed: 1, ArcTime: 1, ArcOnRatio: 1,
	}
}

// Finding is a finding of a rule at a place, its values in SI.
func Finding(number int, rule finding.Rule, angle, depth, worst, limit float64) finding.Finding {
	return finding.Finding{
		Number: number, Rule: rule, Pass: 1 + number%3, Layer: 1 + number%3,
		Place: &bore.Place{Angle: quantity.Degrees(angle), Depth: quantity.Metres(depth / 1000), AngleUncertainty: 2.5},
		Way:   new(quantity.Degrees(13.125)),
		Start: pass.Moment{Tick: int64(number) * 61_500_000_000}, Duration: 1.75,
		Worst: worst, Limit: limit, Beyond: worst - limit,
		Sentence: fmt.Sprintf("%s out of its limit for 1.8 s, from %.0f deg at %.1f mm depth; look at the bead", rule, angle, depth),
	}
}

// Whole is a finding that concerns a whole pass.
func Whole(number int, rule finding.Rule, worst, limit float64) finding.Finding {
	f := Finding(number, rule, 0, 0, worst, limit)
	f.Place, f.Way, f.FromStart, f.ToEnd = nil, nil, true, true
	f.Sentence = string(rule) + " out of its limit; look at the pass"
	return f
}

// New is the sheet of the invented job.
func New() *sheet.Sheet { return sheet.New(Input()) }

// Input is the invented job: four passes with a verdict each, one without data, and
// findings of every family.
func Input() sheet.Input {
	passes := []pass.Pass{Pass(1), Pass(2), Pass(3), Pass(4), UnknownPass(5)}
	passes[1].Verdict, passes[2].Verdict, passes[3].Verdict = heat.WithinNearLimit, heat.OutsideNearLimit, heat.Outside
	passes[2].HeatInput, passes[2].ArcEnergy = new(quantity.JoulesPerMetre(560e3)), new(quantity.JoulesPerMetre(700e3))
	passes[3].HeatInput, passes[3].ArcEnergy = new(quantity.JoulesPerMetre(640e3)), new(quantity.JoulesPerMetre(800e3))
	passes[1].PowerBasis, passes[1].TravelBasis, passes[1].GapTime = series.Average, heat.TravelDeclared, 1.4
	passes[2].Rotation = rotation.Account{Angle: rotation.BySaid, Said: &rotation.Said{By: "Operator 1", Tick: 2_399_500_000_000, Angle: 12}}
	passes[2].EndPlace.AngleUncertainty = 14.2
	passes[3].Rotation.Angle, passes[3].EndPlace.AngleUncertainty = rotation.Unknown, rotation.NoAngle
	findings := []finding.Finding{
		Finding(1, finding.Voltage, 131.25, 4.5, 15.75, 16.5),
		Finding(2, finding.ArcOut, 212, 18, 0.8, 0.3),
		Finding(3, finding.WireSpeed, 214, 20, 0.0625, 0.075),
		Finding(4, finding.GasFlow, 4, 33, 0.00015, 0.0002),
		Whole(5, finding.Interpass, 268, 250),
		Whole(6, finding.HeatInput, 640e3, 550e3),
		Whole(7, finding.ArcOnRatio, 0.84, 0.88),
	}
	for i := range findings {
		passes[findings[i].Pass-1].Findings++
	}
	return sheet.Input{
		RecordName: "invented.arctally", Job: Job(), WallTime: Clock, Fingerprint: "5f0c9e1d77aa0b42c6d3e8f1905b7a64",
		Source: series.Source{
			Name: "sensor box", Serial: "B-0007", Firmware: "1.4", Link: "binary", Calibration: "2026-01-12, bench",
		},
		Instruments: []calib.Calibration{
			{Channel: "voltage", Gain: 1.002, Offset: -0.05, Relative: 0.006, Date: "2026-01-12", Due: "2027-01-12", Certificate: "C-104", Box: "B-0007"},
			{Channel: "current", Gain: 0.998, Offset: 0.2, Relative: 0.009, Date: "2024-01-12", Due: "2025-01-12", Certificate: "C-105", Box: "port /dev/a"},
		},
		Result: analyze.Result{Passes: passes, Findings: findings, Warnings: []analyze.Warning{
			{Kind: "gap", Pass: 2, Start: pass.Moment{Tick: 1_500_000_000_000}, End: pass.Moment{Tick: 1_501_400_000_000}, Count: 1, Text: "no data for 1.4 s"},
			{Kind: "averaged-power", Count: 1, Text: "power of 1 passes is that of readings that are means, or slower than 1 kHz"},
		}},
	}
}

// NoNumberPass has what a division by nothing leaves.
func NoNumberPass() pass.Pass {
	p := Pass(1)
	p.ArcOnRatio = quantity.Ratio(math.NaN())
	p.VoltageMean = new(quantity.Volts(math.NaN()))
	p.ArcEnergy = new(quantity.JoulesPerMetre(math.Inf(1)))
	p.Energy = quantity.Joules(math.Inf(-1))
	return p
}
