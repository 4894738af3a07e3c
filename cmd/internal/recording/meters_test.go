package recording_test

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/capture"
	"arctally/acquire/quantity"
	"arctally/acquire/series"
	"arctally/analyze"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
	"arctally/analyze/procedure"
	"arctally/analyze/proof"
)

// meter writes captures as somebody does who reads two displays at a fixed rate: no
// flag, no refresh, no hold. The arc burns from 2 s on; before and after it both are 0.
type meter struct {
	rate, burns    float64 // Hz, s
	volts, amperes float64 // steps
	vNoise, iNoise float64
	wander         float64 // V, by which the mean goes up and down within a minute
	hold           [2]float64
	seed           uint64
	silent         bool // there is nothing but arc in the capture
}

const beforeArc = 2.0

// csv returns the capture, and the true energy.
func (m meter) csv() (text []byte, joules float64) {
	random := rand.New(rand.NewPCG(m.seed, 9))
	var b bytes.Buffer
	b.WriteString("time,voltage,current\n")
	v, i := 0.0, 0.0
	for k := range int((m.burns + 2*beforeArc) * m.rate) {
		at := float64(k) / m.rate
		on := at >= beforeArc && at < beforeArc+m.burns
		holds := at >= beforeArc+m.hold[0] && at < beforeArc+m.hold[1]
		trueV := 18.23 + m.wander*math.Sin(at*2*math.Pi/60) + m.vNoise*random.NormFloat64()
		trueI := 141.4 + 5*m.wander*math.Cos(at*2*math.Pi/60) + m.iNoise*random.NormFloat64()
		switch {
		case holds:
		case on:
			v, i = math.Round(trueV/m.volts)*m.volts, math.Round(trueI/m.amperes)*m.amperes
			joules += v * i / m.rate
		default:
			v, i = 0, 0
		}
		if on || !m.silent {
			fmt.Fprintf(&b, "%.4f,%.1f,%.0f\n", 1000+at, v, i)
		}
	}
	return b.Bytes(), joules
}

func plate() *procedure.Job {
	return &procedure.Job{
		Name:      "Plate",
		Deposit:   bore.Deposit{Pattern: bore.Straight, Length: 0.3},
		Setpoints: procedure.Setpoints{TravelSpeed: 0.006},
		Procedure: procedure.Procedure{
			Name: "P", Process: "MAG",
			Limits: procedure.Limits{HeatInput: quantity.Range[quantity.JoulesPerMetre]{Low: 0.25e6, High: 2e6, HasLow: true, HasHigh: true}},
			Judge: procedure.Judge{
				Definition: procedure.EN1011, Power: series.Average, AverageOver: 0.5, Dwell: 1, Hold: 0.3,
				GuardBand: 1, ArcCurrent: 15, ArcVoltage: 8, ArcOnTolerance: 0.03,
			},
		},
	}
}

func imported(t *testing.T, text []byte, job *procedure.Job) (analyze.Result, capture.Summary) {
	t.Helper()
	run := analyze.New(job, nil)
	s, err := capture.Import(bytes.NewReader(text), int64(len(text)), "meter.csv", capture.Options{}, run, nil)
	require.NoError(t, err)
	return run.Finish(), s
}

// all returns the energy of all passes.
func all(r analyze.Result) (joules float64) {
	for _, p := range r.Passes {
		joules += float64(p.Energy)
	}
	return joules
}

// steadyMeter is an arc that hardly moves in the steps of the display, and whose mean
// wanders from the edge of a step to its middle.
func steadyMeter(rate float64) meter {
	return meter{rate: rate, burns: 120, volts: 0.1, amperes: 1, vNoise: 0.03, iNoise: 0.2, wander: 0.2}
}

// A steady arc is one pass, and none of its energy is thrown away, whatever stands still.
// The last step of a trapezoid to the row of zeros is no arc: half a row at each end.
func TestImport_SteadyArcOfAMeter(t *testing.T) {
	for _, rate := range []float64{1, 4, 10, 42} {
		for _, wander := range []float64{0, 0.05, 0.2} {
			for _, burns := range []float64{60, 600} {
				for seed := range uint64(3) {
					for _, silent := range []bool{false, true} {
						m := steadyMeter(rate)
						m.wander, m.burns, m.seed, m.silent = wander, burns, seed, silent
						text, joules := m.csv()
						r, _ := imported(t, text, plate())
						require.Len(t, r.Passes, 1, m)
						require.InEpsilon(t, joules*(1-1/(rate*burns)), all(r), 1e-3, m)
					}
				}
			}
		}
	}
}

// With nothing but the digits to go by, both results are shown: the arc held for 40 s of
// 120 s may be that, or steady. The verdict that hangs on it is not within, nor proved.
func TestImport_WhatCannotBeToldIsShownBothWays(t *testing.T) {
	m := steadyMeter(10)
	m.silent, m.hold = true, [2]float64{60, 100}
	text, _ := m.csv()
	job := plate()
	job.Procedure.Limits.HeatInput.Low = 0.65e6 // with: 0.82 kJ/mm, without: 0.53 kJ/mm
	r, s := imported(t, text, job)
	require.Len(t, r.Passes, 1)
	p := r.Passes[0]
	require.NotNil(t, p.MayBeHeld)
	require.GreaterOrEqual(t, float64(p.MayBeHeld.Time), 40.0)
	require.Less(t, float64(p.MayBeHeld.Time), 70.0)
	require.InDelta(t, float64(p.ArcTime), float64(p.MayBeHeld.ArcTime+p.MayBeHeld.Time), 1e-6)
	require.InDelta(t, float64(p.MayBeHeld.ArcTime/p.Elapsed), float64(p.MayBeHeld.ArcOnRatio), 1e-9)
	require.InEpsilon(t, float64(p.Energy)*float64(p.MayBeHeld.ArcTime/p.ArcTime), float64(p.MayBeHeld.Energy), 0.01)
	require.InEpsilon(t, float64(*p.HeatInput)*float64(p.MayBeHeld.Energy/p.Energy), float64(*p.MayBeHeld.HeatInput), 1e-9, "over a declared length")
	require.Equal(t, heat.OutsideNearLimit, p.MayBeHeld.Verdict.Doubted())
	require.Equal(t, heat.WithinNearLimit, p.Verdict)
	require.Contains(t, kinds(proof.Of(job, r.Passes, nil).Passes[0].Reasons), proof.HeldValues)
	require.Contains(t, warned(r), "values may be held for")
	require.Zero(t, s.HeldAfter)
	require.NotZero(t, s.MayBeHeldAfter)

	job.Procedure.Limits.HeatInput.Low = 0.25e6
	r, _ = imported(t, text, job)
	require.Equal(t, heat.Within, r.Passes[0].Verdict, "it is within either way")
	require.NotContains(t, kinds(proof.Of(job, r.Passes, nil).Passes[0].Reasons), proof.HeldValues)
}

// A display that moves by several steps and then stands still is held.
func TestImport_HeldValuesOfAMeter(t *testing.T) {
	m := steadyMeter(10)
	m.silent, m.vNoise, m.iNoise, m.hold = true, 0.35, 6, [2]float64{60, 70}
	text, joules := m.csv()
	r, s := imported(t, text, plate())
	require.Len(t, r.Passes, 2)
	require.InEpsilon(t, joules, all(r), 0.01)
	require.NotZero(t, s.HeldAfter)
}

func kinds(reasons []proof.Reason) (all []proof.Kind) {
	for _, r := range reasons {
		all = append(all, r.Kind)
	}
	return all
}

func warned(r analyze.Result) string {
	var text strings.Builder
	for _, w := range r.Warnings {
		text.WriteString(w.Text + "\n")
	}
	return text.String()
}

// withWay is a bead of 60 s at 6 mm/s, with a column of what tells how the torch went.
func withWay(head string, way func(at float64) string) []byte {
	var b bytes.Buffer
	b.WriteString("time,voltage,current," + head + "\n")
	random := rand.New(rand.NewPCG(8, 9))
	for k := range 640 {
		at := float64(k)/10 - 2
		v, i := 0.0, 0.0
		if at >= 0 && at <= 60 {
			v, i = 18+0.4*random.NormFloat64(), 140+6*random.NormFloat64()
		}
		fmt.Fprintf(&b, "%.1f,%.2f,%.1f,%s\n", at+1000, v, i, way(min(max(at, 0), 60)))
	}
	return b.Bytes()
}

// A capture that says how the torch went is judged by that, whatever the job declares.
func TestImport_TravelIsMeasured(t *testing.T) {
	const speed = 0.006
	ring := plate()
	ring.Bore = bore.Bore{WornDiameter: 0.092, FinishDiameter: 0.090, WeldToDiameter: 0.086, Length: 0.012}
	ring.Deposit = bore.Deposit{Pattern: bore.Helix, Pitch: 0.003, WireDiameter: 0.9e-3, Efficiency: 0.95}
	ring.Rotation = procedure.Rotation{Speed: 1 / 60.}
	ring.Setpoints = procedure.Setpoints{WireSpeed: 5.5 / 60}
	around := math.Pi * 0.092
	for name, c := range map[string]struct {
		job  *procedure.Job
		o    capture.Options
		head string
		way  func(at float64) string
	}{
		"turns":    {ring, capture.Options{Turns: "n"}, "n", func(at float64) string { return fmt.Sprintf("%.4f", 40+speed*at/around) }},
		"degrees":  {ring, capture.Options{Turns: "n*0.00277777777777778"}, "n", func(at float64) string { return fmt.Sprintf("%.1f", speed*at/around*360) }},
		"position": {plate(), capture.Options{Position: "x*0.001"}, "x", func(at float64) string { return fmt.Sprintf("%.1f", 1e3*speed*at) }},
		"x, y, z": {plate(), capture.Options{Position: "x+y+z*0.001"}, "x,y,z", func(at float64) string {
			return fmt.Sprintf("%.2f,12.5,%.2f", 600*speed*at, -800*speed*at)
		}},
		"travel": {plate(), capture.Options{Travel: "v*0.001"}, "v", func(float64) string { return "6.00" }},
	} {
		t.Run(name, func(t *testing.T) {
			if c.job.Deposit.Pattern == bore.Straight {
				c.job.Deposit.Length = 0.5 // which is not so
			}
			c.o.Voltage, c.o.Current = "voltage", "current"
			text := withWay(c.head, c.way)
			run := analyze.New(c.job, nil)
			_, err := capture.Import(bytes.NewReader(text), int64(len(text)), "way.csv", c.o, run, nil)
			require.NoError(t, err)
			p := run.Finish().Passes
			require.Len(t, p, 1)
			require.Equal(t, heat.TravelMeasured, p[0].TravelBasis)
			require.InEpsilon(t, speed*60, float64(*p[0].Travel), 0.005)
		})
	}
}
