package export

import (
	"bytes"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/acquire/calib"
	"arctally/acquire/quantity"
	"arctally/acquire/series"
	"arctally/analyze"
	"arctally/analyze/bore"
	"arctally/analyze/finding"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
	"arctally/report/sheet"
)

// All data in this file is invented.

func inventedSource() series.Source {
	return series.Source{
		Name: "sensor box", Serial: "B-0007", Link: "binary", CountsPerTurn: 3600,
		Channels: []series.Channel{
			{Name: "voltage", Unit: "V", Scale: 0.0025, Offset: -0.5, Bits: 16, Basis: series.Instantaneous},
			{Name: "current", Unit: "A", Scale: 0.03125, Bits: 16, Basis: series.Instantaneous},
			{Name: "gas_flow", Unit: "L/min", Scale: 1},
			{Name: `odd, "name"`, Scale: 1},
		},
	}
}

func inventedClock(epoch int, tick int64) (time.Time, bool) {
	return time.Date(2026, 3, 2, 8, 15, 0, 0, time.UTC).Add(time.Duration(epoch)*time.Hour + time.Duration(tick)), true
}

func inventedBlocks() []series.Block {
	return []series.Block{
		{Kind: series.Slow, Tick: 0, Step: 100_000_000, Channel: []uint8{2, 3, 2}, Value: []float64{14.25, -1, math.NaN()}},
		{Kind: series.Turn, Tick: 1_000, Step: 10_000_000, Count: []int64{5, 6, 4}},
		{Kind: series.Arc, Break: true, Tick: 999_999_900, Step: 100_000, V: []int32{7000, -120, 7001}, I: []int32{4480, 9000, 4479}},
		{Kind: series.Arc, Tick: 2_000_000_001, Ticks: []int64{2_000_000_001, 2_333_333_333}, V: []int32{6999, 7000}, I: []int32{0, -1}, Flag: []bool{true, false}},
		{Kind: series.Sums, Epoch: 1, Break: true, Tick: 500_000_000, Step: 100_000, Sum: series.WindowSums{Count: 4, V: 28000, I: 17920, VI: 125_440_000, ArcOn: 3}},
	}
}

// of hands out blocks under the invented source.
func of(blocks []series.Block) Samples {
	source := inventedSource()
	return Samples{
		WallTime: inventedClock,
		Parts: func(yield func(Part, error) bool) {
			if !yield(Part{Source: &source}, nil) {
				return
			}
			for k := range blocks {
				if !yield(Part{Block: &blocks[k]}, nil) {
					return
				}
			}
		},
	}
}

func calibrated(s Samples) Samples {
	s.Register.All = []calib.Timed{
		{Calibration: calib.Calibration{Channel: "voltage", Gain: 1.5, Offset: 0.25}},
		{Calibration: calib.Calibration{Channel: "gas_flow", Gain: 2, Offset: 0}},
		{Calibration: calib.Calibration{Channel: "voltage", Gain: 3}, Epoch: 1 << 20}, // holds for nothing here
	}
	return s
}

// inventedSheet has a pass of which all is known, one of which nothing is, and a finding.
func inventedSheet(clock func(int, int64) (time.Time, bool)) *sheet.Sheet {
	return sheet.New(inventedInput(clock))
}

func inventedInput(clock func(int, int64) (time.Time, bool)) sheet.Input {
	full := pass.Pass{
		Number: 1, Layer: 1, Pattern: bore.Helix, Start: pass.Moment{Tick: 123_456_789}, End: pass.Moment{Tick: 3_123_456_789},
		Elapsed: 3, ArcTime: 2.7, ArcOnRatio: 0.9, PlannedArcOn: 0.9, VoltageMean: new(quantity.Volts(17.5)),
		CurrentMean: new(quantity.Amperes(140)), PowerMean: new(quantity.Watts(2362.5)), PowerBasis: series.Instantaneous,
		Energy: 6378.75, Wire: new(quantity.Metres(0.25)), Travel: new(quantity.Metres(0.016)), TravelBasis: heat.TravelMeasured,
		TravelSpeed: new(quantity.MetresPerSecond(0.006)), HeatInput: new(quantity.JoulesPerMetre(315e3)), Verdict: heat.WithinNearLimit,
	}
	return sheet.Input{
		RecordName: "invented.arctally", Fingerprint: "0123456789abcdef", Job: &procedure.Job{Name: "Invented job, bore 1"}, WallTime: clock, Source: inventedSource(),
		Result: analyze.Result{
			Passes: []pass.Pass{full, {Number: 2, Start: pass.Moment{Tick: 5e9}, End: pass.Moment{Tick: 5e9}}},
			Findings: []finding.Finding{{
				Number: 1, Rule: finding.Voltage, Pass: 1, Layer: 1, Place: &bore.Place{Angle: 131.25, Depth: 0.0045},
				Start: pass.Moment{Tick: 1_000_000_007}, Duration: 1.5, Worst: 15.75, Limit: 16.5, Beyond: -0.75, Sentence: `voltage "15.8 V", below`,
			}},
		},
	}
}

func written(t *testing.T, write func(*bytes.Buffer) error) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, write(&b))
	return b.String()
}

// manyBlocks repeats an arc of 1000 samples that dips like a short circuit.
func manyBlocks(n int) []series.Block {
	blocks := make([]series.Block, n)
	for b := range blocks {
		blocks[b] = series.Block{Kind: series.Arc, Tick: int64(b) * 100_000_000, Step: 100_000, V: make([]int32, 1000), I: make([]int32, 1000)}
		for k := range 1000 {
			blocks[b].V[k] = int32(7000 + (k*7919+b*31)%900)
			blocks[b].I[k] = int32(4480 + (k*104729+b*17)%2500)
			if k%100 < 17 {
				blocks[b].V[k] -= 5000
			}
		}
	}
	return blocks
}
