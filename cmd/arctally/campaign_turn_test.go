package main

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/acquire/sensorbox"
	"arctally/acquire/series"
	"arctally/analyze"
	"arctally/analyze/byangle"
	"arctally/analyze/finding"
	"arctally/analyze/heat"
	"arctally/analyze/rotation"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/virtualbox"
	"arctally/testdata/job/demo"
)

// turnCase is one set-up of the virtual sensor box, and what must be seen of it.
type turnCase struct {
	name        string
	gap         bool
	turns       float64
	speed       float64 // rpm that the torch really turns at; 1.25 is declared
	faults      []sensorbox.Fault
	seeds       uint64
	derived     bool    // the rotation must be found without turn pulses
	offCentre   float64 // deg, -1 is none
	millimetres float64
	narrow      float64 // deg, -1 is none
}

func offCentre(millimetres float64, toward quantity.Degrees) []sensorbox.Fault {
	return []sensorbox.Fault{{Kind: sensorbox.OffCentre, Amount: millimetres * 1e-3, Toward: toward}}
}

func turnCases() []turnCase {
	drift := []sensorbox.Fault{{Kind: sensorbox.RotationDrift, Amount: 0.95, Pass: 1, Turn: 3, From: 10, Duration: 200}}
	oval := []sensorbox.Fault{{Kind: sensorbox.OvalBore, Amount: 0.5e-3, Toward: 60}}
	faults := []sensorbox.Fault{
		{Kind: sensorbox.ArcOut, Pass: 1, Turn: 2, From: 40, Duration: 2},
		{Kind: sensorbox.GasLoss, Pass: 1, Turn: 4, From: 200, Duration: 6},
		{Kind: sensorbox.WireSlip, Pass: 1, Turn: 7, From: 150, Duration: 5},
		{Kind: sensorbox.ArcOut, Pass: 1, Turn: 8, From: 300, Duration: 3},
	}
	return []turnCase{
		{name: "clean", turns: 8, speed: 1.25, seeds: 3, offCentre: -1, narrow: -1},
		{name: "off-centre 0.3 mm", turns: 8, speed: 1.19, faults: offCentre(0.3, 200), seeds: 2, derived: true, offCentre: 200, millimetres: 0.3, narrow: -1},
		{name: "off-centre 0.6 mm", turns: 8, speed: 1.30, faults: offCentre(0.6, 75), seeds: 1, derived: true, offCentre: 75, millimetres: 0.6, narrow: -1},
		{name: "off-centre 1.0 mm", turns: 8, speed: 1.19, faults: offCentre(1, 310), seeds: 1, derived: true, offCentre: 310, millimetres: 1, narrow: -1},
		{name: "off-centre 1.5 mm", turns: 8, speed: 1.25, faults: offCentre(1.5, 10), seeds: 1, derived: true, offCentre: 10, millimetres: 1.5, narrow: -1},
		{name: "oval 0.5 mm", turns: 8, speed: 1.22, faults: oval, seeds: 2, derived: false, offCentre: -1, narrow: 150},
		{name: "off-centre 1.0 mm, rpm drifts", turns: 8, speed: 1.25, faults: append(offCentre(1, 130), drift...), seeds: 1, derived: true, offCentre: 130, millimetres: 1, narrow: -1},
		{name: "faults of the arc", turns: 8, speed: 1.25, faults: faults, seeds: 2, offCentre: -1, narrow: -1},
		{name: "keyway gap", gap: true, turns: 6, speed: 1.19, seeds: 2, derived: true, offCentre: -1, narrow: -1},
		{name: "keyway gap, rpm drifts", gap: true, turns: 8, speed: 1.25, faults: drift, seeds: 1, derived: true, offCentre: -1, narrow: -1},
	}
}

// layTurns has the box lay a case, and judges what it says twice in one go: with
// its turn pulses, and as if it had none.
func layTurns(t *testing.T, c turnCase, sensitivity float64, seed uint64) (truth sensorbox.Truth, counted, bare analyze.Result) {
	t.Helper()
	p, err := jobfile.ReadIn(demo.Files, jobfile.Document)
	require.NoError(t, err)
	job := *p.Job
	job.Bore.Length = quantity.Metres(c.turns) * job.Deposit.Pitch
	job.Setpoints.CurrentPerDistance = quantity.AmperesPerMetre(sensitivity)
	if !c.gap {
		job.Deposit.Gaps = nil
	}
	laid := virtualbox.Plan(&jobfile.File{Job: &job}, 1, c.faults)
	laid.RotationSpeed = quantity.Of[quantity.TurnsPerSecond](c.speed, "rpm")
	laid.Seed = seed
	box, err := sensorbox.New(laid)
	require.NoError(t, err)
	with, without := analyze.New(&job, nil), analyze.New(&job, nil)
	source := box.Plan().Source()
	require.NoError(t, with.Source(source))
	source.CountsPerTurn = 0
	require.NoError(t, without.Source(source))
	truth, err = box.Each(t.Context(), func(b *series.Block) error {
		if b.Kind != series.Turn {
			if err := without.Block(b); err != nil {
				return err
			}
		}
		return with.Block(b)
	})
	require.NoError(t, err)
	return truth, with.Finish(), without.Finish()
}

// trySensitivity does what a trial at the machine does: a bead at one distance of
// the torch, one a millimetre further off, and the currents of both.
func trySensitivity(t *testing.T) float64 {
	t.Helper()
	var current [2]float64
	for k, standoff := range []quantity.Metres{11.5e-3, 12.5e-3} {
		p, err := jobfile.ReadIn(demo.Files, jobfile.Document)
		require.NoError(t, err)
		laid := virtualbox.Plan(p, 1, nil)
		laid.Length, laid.Gaps, laid.Standoff = laid.Pitch, nil, standoff
		box, err := sensorbox.New(laid)
		require.NoError(t, err)
		run := analyze.New(p.Job, nil)
		require.NoError(t, run.Source(box.Plan().Source()))
		_, err = box.Each(t.Context(), run.Block)
		require.NoError(t, err)
		current[k] = float64(*run.Finish().Passes[0].CurrentMean)
	}
	return (current[0] - current[1]) / 1e-3
}

// angleOff is the way between two angles, of a figure that repeats after period.
func angleOff(a quantity.Degrees, b, period float64) float64 {
	return math.Abs(math.Remainder(float64(a)-b, period))
}

// TestCampaign_Turn lays the set-ups that a turn-locked statistic must see, and
// the one in which it must see nothing.
func TestCampaign_Turn(t *testing.T) {
	if testing.Short() {
		t.Skip("it lays many passes")
	}
	var table strings.Builder
	table.WriteString("\n")
	fmt.Fprintf(&table, "%-30s %4s %-8s %-14s %7s %7s %6s %6s %6s %6s %6s %6s\n", "case; ! is found", "seed", "travel", "from", "true", "rpm", "u %", "once %", "deg", "mm", "twice %", "deg")
	sensitivity := trySensitivity(t)
	t.Logf("the current falls by %.2f A for each mm of distance", sensitivity/1000)
	for _, c := range turnCases() {
		for seed := range c.seeds {
			truth, counted, bare := layTurns(t, c, sensitivity, seed+1)
			for _, r := range []analyze.Result{counted, bare} {
				row(&table, c, seed+1, truth, r)
			}
			t.Run(fmt.Sprintf("%s, seed %d", c.name, seed+1), func(t *testing.T) {
				checkTurns(t, c, truth, counted, bare)
			})
		}
	}
	t.Log(table.String())
}

func row(table *strings.Builder, c turnCase, seed uint64, truth sensorbox.Truth, r analyze.Result) {
	p := r.Passes[0]
	var s byangle.Sweep
	if len(r.Sweeps) > 0 {
		s = r.Sweeps[0]
	}
	mm := math.NaN()
	if s.OffCentre.Distance != nil {
		mm = 1e3 * float64(*s.OffCentre.Distance)
	}
	fmt.Fprintf(table, "%-30s %4d %-8s %-14s %7.4f %7.4f %6.3f %5.2f%-1s %6.1f %6.3f %5.2f%-1s %6.1f\n", c.name, seed, p.TravelBasis, p.Rotation.From,
		trueSpeed(truth.Passes[0]), quantity.In(p.Rotation.Speed, "rpm"), 100*float64(p.Rotation.Uncertainty/p.Rotation.Speed),
		100*float64(s.OffCentre.Amplitude), mark(s.OffCentre.Found), float64(s.OffCentre.Crest), mm,
		100*float64(s.Oval.Amplitude), mark(s.Oval.Found), float64(s.Oval.Crest))
}

func mark(found bool) string {
	if found {
		return "!"
	}
	return ""
}

// trueSpeed is the mean rotation of a pass in rpm.
func trueSpeed(p sensorbox.PassTruth) float64 {
	return 60e9 * p.Turns / float64(p.End.Since-p.Start.Since)
}

func checkTurns(t *testing.T, c turnCase, truth sensorbox.Truth, counted, bare analyze.Result) {
	require.Len(t, counted.Passes, 1)
	require.Len(t, bare.Passes, 1)
	p := bare.Passes[0]
	if c.derived {
		require.Equal(t, heat.TravelDerived, p.TravelBasis)
		assert.InDelta(t, 1, quantity.In(p.Rotation.Speed, "rpm")/trueSpeed(truth.Passes[0]), 0.01)
		assert.InDelta(t, 1, *p.Turns/truth.Passes[0].Turns, 0.01)
		assert.InDelta(t, 1, float64(*p.Travel/truth.Passes[0].Path), 0.01)
		assert.Greater(t, *counted.Passes[0].ExpandedUncertainty*1.2, *p.ExpandedUncertainty)
	} else if c.narrow < 0 {
		assert.Equal(t, heat.TravelDeclared, p.TravelBasis)
		assert.Equal(t, rotation.FromPlan, p.Rotation.From)
		assert.Greater(t, p.Rotation.Searched, 7.0)
	}
	require.Len(t, counted.Sweeps, 1)
	checkSweep(t, c, counted.Sweeps[0])
	for _, s := range bare.Sweeps {
		checkSweep(t, c, s)
	}
	if c.name != "faults of the arc" {
		checkRules(t, c, counted)
	}
}

func checkSweep(t *testing.T, c turnCase, s byangle.Sweep) {
	require.True(t, s.OffCentre.Known)
	assert.Equal(t, c.offCentre >= 0, s.OffCentre.Found)
	assert.Equal(t, c.narrow >= 0, s.Oval.Found)
	if c.offCentre >= 0 {
		assert.LessOrEqual(t, angleOff(s.OffCentre.Crest, c.offCentre, 360), max(5, 2*float64(s.OffCentre.CrestDoubt)))
		assert.InDelta(t, c.millimetres*1e-3, float64(*s.OffCentre.Distance), 2*float64(*s.OffCentre.DistanceDoubt))
	}
	if c.narrow >= 0 {
		assert.LessOrEqual(t, angleOff(s.Oval.Crest, c.narrow, 180), 5.0)
	}
}

// checkRules wants what is there found, and nothing else.
func checkRules(t *testing.T, c turnCase, r analyze.Result) {
	want := []finding.Rule{}
	if c.offCentre >= 0 {
		want = append(want, finding.OffCentre)
	}
	if c.narrow >= 0 {
		want = append(want, finding.OvalBore)
	}
	got := []finding.Rule{}
	for _, f := range r.Findings {
		got = append(got, f.Rule)
		t.Log(f.Sentence)
	}
	assert.Equal(t, want, got)
}

// TestCampaign_WallPatch loses the arc over one spot of the wall, turn after turn.
func TestCampaign_WallPatch(t *testing.T) {
	c := turnCase{gap: true, turns: 6, speed: 1.25}
	for _, turn := range []int{2, 3, 5} {
		c.faults = append(c.faults, sensorbox.Fault{Kind: sensorbox.ArcOut, Pass: 1, Turn: turn, From: 247 + quantity.Degrees(turn), Duration: 1})
	}
	_, counted, bare := layTurns(t, c, 0, 1)
	for name, r := range map[string]analyze.Result{"counted": counted, "derived from the gaps": bare} {
		t.Run(name, func(t *testing.T) {
			var walls, lost []finding.Finding
			for _, f := range r.Findings {
				switch f.Rule {
				case finding.WallPatch:
					walls = append(walls, f)
				case finding.ArcOut:
					lost = append(lost, f)
				}
			}
			require.Len(t, lost, 3)
			require.Len(t, walls, 1)
			assert.LessOrEqual(t, angleOff(walls[0].Place.Angle, 250.3, 360), 3.0)
			assert.Equal(t, 3.0, walls[0].Worst)
			for _, f := range lost {
				assert.Equal(t, walls[0].Number, f.PartOf)
			}
			t.Log(walls[0].Sentence)
		})
	}
}
