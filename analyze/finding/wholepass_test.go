package finding

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
)

// ended returns what is found in a pass of 100 s from 90 degrees on that a test fills in.
func ended(edit func(*pass.Pass, *procedure.Job)) []Finding {
	job := testJob()
	p := &pass.Pass{
		Number: 5, Layer: 3, Pattern: bore.Helix, Start: pass.Moment{Tick: 12e9}, End: pass.Moment{Tick: 112e9},
		StartPlace: &bore.Place{Angle: 90}, EndPlace: &bore.Place{Angle: 120}, Elapsed: 100, ArcTime: 100,
	}
	edit(p, job)
	w := NewWatch(job)
	w.Follow(turning{})
	w.ledger.pass = p
	w.End(p)
	return w.Found()
}

// The least arc-on ratio is the planned one less the tolerance: 0.875 - 0.125 is 0.75.
func TestArcOnRatio(t *testing.T) {
	for name, c := range map[string]struct {
		edit  func(*pass.Pass)
		worst float64 // 0 is no finding
	}{
		"on the limit":           {func(p *pass.Pass) { p.ArcTime = 75 }, 0},
		"below":                  {func(p *pass.Pass) { p.ArcTime = 74 }, 0.74},
		"time without data":      {func(p *pass.Pass) { p.ArcTime, p.GapTime = 74, 10 }, 0},
		"below without it":       {func(p *pass.Pass) { p.ArcTime, p.GapTime = 50, 20 }, 0.625},
		"nothing but a gap":      {func(p *pass.Pass) { p.ArcTime, p.GapTime = 0, 100 }, 0},
		"nothing is planned":     {func(p *pass.Pass) { p.ArcTime, p.PlannedArcOn = 10, 0 }, 0},
		"less than a turn":       {func(p *pass.Pass) { p.ArcTime, p.Turns = 50, new(0.89) }, 0},
		"nearly a turn":          {func(p *pass.Pass) { p.ArcTime, p.Turns = 50, new(0.9) }, 0.5},
		"a stroke is no turn":    {func(p *pass.Pass) { p.ArcTime, p.Turns, p.Pattern = 50, new(0.1), bore.SegmentReversing }, 0.5},
		"turns are not known":    {func(p *pass.Pass) { p.ArcTime = 50 }, 0.5},
		"half of what was there": {func(p *pass.Pass) { p.ArcTime, p.GapTime = 25, 50 }, 0.5},
	} {
		found := ended(func(p *pass.Pass, job *procedure.Job) {
			p.PlannedArcOn, job.Procedure.Judge.ArcOnTolerance = 0.875, 0.125
			c.edit(p)
		})
		if c.worst == 0 {
			require.Empty(t, found, name)
			continue
		}
		require.Len(t, found, 1, name)
		assert.Equal(t, ArcOnRatio, found[0].Rule)
		assert.Equal(t, c.worst, found[0].Worst, name)
		assert.Equal(t, 0.75, found[0].Limit)
		assert.Equal(t, quantity.Seconds(100), found[0].Duration)
		assert.True(t, found[0].Whole())
		assert.Nil(t, found[0].Place, "a whole pass has no angle")
		assert.Equal(t, 5, found[0].Pass)
		assert.Equal(t, 3, found[0].Layer)
	}
}

// Three a minute of arc are the limit, and three the fewest that are a rate.
func TestBriefArcOuts(t *testing.T) {
	for name, c := range map[string]struct {
		outs    int
		arcTime quantity.Seconds
		found   bool
	}{
		"three a minute":       {5, 100, false},
		"more":                 {6, 100, true},
		"two are chance":       {2, 10, false},
		"three are not":        {3, 10, true},
		"and no arc at all":    {3, 0, false},
		"just below the limit": {3, 60.0001, false},
	} {
		found := ended(func(p *pass.Pass, _ *procedure.Job) { p.BriefArcOuts, p.ArcTime = c.outs, c.arcTime })
		require.Equal(t, c.found, len(found) == 1, name)
		if c.found {
			require.Equal(t, BriefArcOuts, found[0].Rule)
			require.Equal(t, float64(c.outs)/float64(c.arcTime), found[0].Worst)
			require.Equal(t, 0.05, found[0].Limit)
			require.Equal(t, quantity.Seconds(100), found[0].Duration)
		}
	}
}

// A travel speed is judged as a whole where it was not counted.
func TestUnmeasuredTravel(t *testing.T) {
	for basis, want := range map[heat.TravelBasis]int{heat.TravelDerived: 1, heat.TravelDeclared: 1, heat.TravelMeasured: 0} {
		found := ended(func(p *pass.Pass, _ *procedure.Job) {
			p.TravelBasis, p.TravelSpeed = basis, new(quantity.MetresPerSecond(0.008))
		})
		require.Len(t, found, want, basis)
		for _, f := range found {
			require.Equal(t, TravelSpeed, f.Rule)
			require.Equal(t, 0.008, f.Worst)
			require.InDelta(t, 0.007, f.Limit, 1e-15)
			require.InDelta(t, 0.001, f.Beyond, 1e-15)
		}
	}
	require.Empty(t, ended(func(p *pass.Pass, _ *procedure.Job) {
		p.TravelBasis, p.TravelSpeed = heat.TravelDeclared, new(quantity.MetresPerSecond(0.006))
	}))
	require.Empty(t, ended(func(p *pass.Pass, _ *procedure.Job) { p.TravelBasis = heat.TravelDeclared }))
}

// What the verdict has outside is a finding, by the definition that the procedure has.
func TestHeatInput(t *testing.T) {
	for verdict, want := range map[heat.Verdict]int{heat.Within: 0, heat.WithinNearLimit: 0, heat.OutsideNearLimit: 1, heat.Outside: 1, "": 0} {
		for definition, worst := range map[procedure.Definition]float64{procedure.EN1011: 600e3, procedure.ArcEnergy: 750e3} {
			found := ended(func(p *pass.Pass, job *procedure.Job) {
				job.Procedure.Judge.Definition = definition
				p.Verdict, p.HeatInput, p.ArcEnergy = verdict, new(quantity.JoulesPerMetre(600e3)), new(quantity.JoulesPerMetre(750e3))
			})
			require.Len(t, found, want, verdict)
			for _, f := range found {
				require.Equal(t, HeatInput, f.Rule)
				require.Equal(t, worst, f.Worst)
				require.Equal(t, 550e3, f.Limit)
			}
		}
	}
}

// A pass that stopped short is told where it stopped, and one on a cold way back as a
// whole; the latter comes first.
func TestInterrupted(t *testing.T) {
	found := ended(func(p *pass.Pass, _ *procedure.Job) {
		p.TravelBasis, p.ArcTime = heat.TravelMeasured, 80
		p.Course = pass.Course{State: pass.Interrupted, Turned: 1.5, Planned: 4, Against: true}
	})
	require.Len(t, found, 2)
	require.Equal(t, ArcOnReturn, found[0].Rule)
	require.Equal(t, 80.0, found[0].Worst)
	require.Equal(t, quantity.Seconds(80), found[0].Duration)
	require.True(t, found[0].Whole())
	require.Nil(t, found[0].Place)
	require.Equal(t, Interrupted, found[1].Rule)
	require.Equal(t, 1.5, found[1].Worst)
	require.Equal(t, 4.0, found[1].Limit)
	require.Equal(t, -2.5, found[1].Beyond)
	require.Equal(t, int64(112e9), found[1].Start.Tick)
	require.Equal(t, quantity.Degrees(120), found[1].Place.Angle)
	for basis, want := range map[heat.TravelBasis]int{heat.TravelDerived: 1, heat.TravelDeclared: 0} {
		require.Len(t, ended(func(p *pass.Pass, _ *procedure.Job) {
			p.TravelBasis, p.Course.State = basis, pass.Interrupted
		}), want, basis)
	}
}

// Findings of one moment are numbered in the order of the table.
func TestWholePass_order(t *testing.T) {
	found := ended(func(p *pass.Pass, _ *procedure.Job) {
		p.TravelBasis, p.TravelSpeed = heat.TravelDerived, new(quantity.MetresPerSecond(0.008))
		p.BriefArcOuts, p.PlannedArcOn, p.ArcTime = 30, 0.9, 50
		p.Course = pass.Course{State: pass.Interrupted, Against: true}
		p.Verdict, p.HeatInput = heat.Outside, new(quantity.JoulesPerMetre(600e3))
	})
	var rules []Rule
	for k, f := range found {
		require.Equal(t, k+1, f.Number)
		rules = append(rules, f.Rule)
	}
	require.Equal(t, []Rule{BriefArcOuts, TravelSpeed, ArcOnRatio, ArcOnReturn, Interrupted, HeatInput}, rules)
}
