package sheettest

import (
	"math"

	"arctally/acquire/quantity"
	"arctally/analyze"
	"arctally/analyze/byangle"
	"arctally/analyze/finding"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
	"arctally/analyze/rotation"
	"arctally/analyze/waveform"
	"arctally/report/sheet"
)

// Sweep swings once a turn, with a gap from 80 to 115 degrees.
func Sweep() byangle.Sweep {
	s := byangle.Sweep{
		Layer: 2, First: 2, Last: 2, Turns: 12, Basis: heat.TravelDerived, Mean: byangle.Bin{ArcTime: 500, Voltage: 17.5, Current: 140, Power: 2400},
		OffCentre: byangle.Swing{
			Known: true, Found: true, Amplitude: 0.05, Uncertainty: 0.001, Least: 0.004, Crest: 200, CrestDoubt: 1,
			Distance: new(quantity.Metres(1e-3)), DistanceDoubt: new(quantity.Metres(1e-4)),
		},
		Oval:   byangle.Swing{Known: true, Amplitude: 0.0005, Uncertainty: 0.0005, Least: 0.0018, Chance: 0.7},
		ByTurn: []byangle.Turn{{Number: 1, Bin: byangle.Bin{ArcTime: 43, Current: 140}}, {Number: 2}},
	}
	for k := range s.Bins {
		if angle := float64(k) * 5; angle < 80 || angle >= 115 {
			s.Bins[k] = byangle.Bin{ArcTime: 7, Voltage: 17.5, Current: quantity.Amperes(140 + 7*math.Cos((angle-200)*math.Pi/180)), Power: 2400}
		}
	}
	return s
}

// BySweep is the sheet of one pass with its sweep, and findings that belong together.
func BySweep() *sheet.Sheet {
	p := Pass(2)
	p.TravelBasis = heat.TravelDerived
	p.Rotation = rotation.Account{Speed: 1.19 / 60, Uncertainty: 0.001 / 60, Declared: 1.25 / 60, Basis: heat.TravelDerived, From: rotation.FromCurrent, Wander: 2, Searched: 12.6}
	return sheet.New(sheet.Input{RecordName: "x", Job: Job(), Result: analyze.Result{
		Passes: []pass.Pass{p}, Sweeps: []byangle.Sweep{Sweep()},
		Findings: []finding.Finding{
			{Number: 1, Rule: finding.OffCentre, Pass: 2, Worst: 0.05, Limit: 0.004, Beyond: 0.046},
			{Number: 2, Rule: finding.WallPatch, Pass: 2, Worst: 4, Limit: 3, Beyond: 1, Parts: []int{3}},
			{Number: 3, Rule: finding.ArcOut, Pass: 2, Worst: 1, PartOf: 2},
		},
	}})
}

// Shorting is an invented waveform at 10 kHz.
func Shorting() *waveform.Statistics {
	return &waveform.Statistics{
		Mode: waveform.Dip, ShortsTold: true, StubLimit: 0.0115, Step: 1e-4, Known: 858.5, ShortLevel: 7.1, ArcLevel: 19.9,
		Shorts: new(81_500), ShortRate: new(quantity.Hertz(94.9)), Transfers: 70_500, Transfer: 82.1, ShortShare: 0.182, Stubs: 3,
		ShortTime: new(quantity.Seconds(1.9e-3)), ShortSpread: new(quantity.Seconds(0.7e-3)),
		ArcTime: new(quantity.Seconds(8.6e-3)), ArcSpread: new(quantity.Seconds(3.6e-3)), Instability: new(quantity.Ratio(0.283)),
		PeakCurrent: new(quantity.Amperes(223)), PeakSpread: new(quantity.Amperes(2.9)), RiseRate: new(48_700.0),
		Reignition: new(quantity.Volts(26.2)), Voltage95: 21.9, Current: 139.8, RMS: 143.7,
	}
}

// Pulsing is an invented waveform of a pulsed arc at 10 kHz.
func Pulsing() *waveform.Statistics {
	return &waveform.Statistics{
		Mode: waveform.Pulsed, Step: 1e-4, Known: 858.5, PulseRate: new(quantity.Hertz(121.5)), PulseShare: new(quantity.Ratio(0.252)),
		Peak: new(quantity.Amperes(402)), Background: new(quantity.Amperes(79)), PeakVoltage: new(quantity.Volts(31.8)), BackgroundVoltage: new(quantity.Volts(20.1)),
		Unrest: new(quantity.Ratio(0.012)), Voltage95: 32.1, Current: 160, RMS: 212,
	}
}
