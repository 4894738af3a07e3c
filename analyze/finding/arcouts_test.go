package finding

import (
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
)

// outsOf returns a judge of a bore with a gap from 80 to 116 degrees, and the position
// at an angle of the first turn.
func outsOf(basis heat.TravelBasis) (*arcOuts, func(angle float64) pass.Position) {
	job := testJob()
	job.Deposit.Gaps = []bore.Gap{{From: 80, To: 116}}
	return &arcOuts{ledger: &ledger{job: job, torch: turning{}}}, func(angle float64) pass.Position {
		turns := angle / 360
		return pass.Position{Moment: pass.Moment{Epoch: 1, Tick: int64(turns * turnTime)}, Turns: turns, Place: turning{}.PlaceOf(turns), Basis: basis}
	}
}

// A way without arc is held against the plan, piece by piece of what has no gap: what
// lies beside one and is no longer than its edge is the arc's own lateness. It is looked
// at in steps of half a degree.
func TestArcOuts_measured(t *testing.T) {
	type out struct{ from, seconds, way float64 }
	for name, c := range map[string]struct {
		from, to, off float64
		want          []out
	}{
		"none of it planned":             {20.2, 50.2, 2, []out{{20.2, 2, 30}}},
		"all of it planned":              {80.2, 115.7, 5, nil},
		"from before the gap to after":   {65.2, 125.2, 6, []out{{65.2, 1.5, 15}, {116.2, 0.9, 9}}},
		"late beside the gap":            {74.7, 121.7, 6, nil},
		"longer than the edge":           {73.2, 115.2, 6, []out{{73.2, 1, 7}}},
		"just behind the gap":            {116.2, 120.2, 2, []out{{116.2, 2, 4}}},
		"the other way round":            {125.2, 65.2, 6, []out{{125.2, 0.95, -9.5}, {79.7, 1.45, -14.5}}},
		"standing still":                 {20.2, 20.2, 0.4, []out{{20.2, 0.4, 0}}},
		"standing still in the gap":      {90.2, 90.2, 7, nil},
		"for the hold time":              {20.2, 20.2, 0.3, nil},
		"pieces shorter than the hold":   {70.2, 126.2, 1.6, nil},
		"one piece longer than the hold": {68.2, 126.2, 1.6, []out{{68.2, 0.3310344827586207, 12}}},
	} {
		a, at := outsOf(heat.TravelMeasured)
		from, to := at(c.from), at(c.to)
		found := a.between(from, to, quantity.Seconds(c.off))
		require.Len(t, found, len(c.want), name)
		for k, f := range found {
			require.Equal(t, ArcOut, f.Rule)
			require.InDelta(t, c.want[k].from, float64(f.Place.Angle), 1e-6, name)
			require.InDelta(t, c.want[k].from/360*turnTime, float64(f.Start.Tick), 2, name)
			require.InDelta(t, c.want[k].seconds, float64(f.Duration), 1e-6, name)
			require.InDelta(t, c.want[k].way, float64(*f.Way), 1e-6, name)
			require.Equal(t, float64(f.Duration), f.Worst)
			require.Equal(t, 0.3, f.Limit)
		}
	}
}

// The edge to the grain of half a degree: a way from 0 to a gap at 6 degrees is the
// arc's own lateness, to one at 6.5 degrees it is an arc-out.
func TestArcOuts_edge(t *testing.T) {
	for from, want := range map[quantity.Degrees]int{6: 0, 6.5: 1} {
		a, at := outsOf(heat.TravelMeasured)
		a.job.Deposit.Gaps = []bore.Gap{{From: from, To: 200}}
		require.Len(t, a.between(at(0), at(100), 100), want, from)
	}
}

// Half of 0.6 s is the hold time exactly, of 0.62 s it is more.
func TestArcOuts_pieceOfTheHoldTime(t *testing.T) {
	for off, want := range map[quantity.Seconds]int{0.6: 0, 0.62: 1} {
		a, at := outsOf(heat.TravelMeasured)
		a.job.Deposit.Gaps = []bore.Gap{{From: 45, To: 200}}
		require.Len(t, a.between(at(0), at(90), off), want, off)
	}
}

// Where only the declared rotation tells, an arc-out of about the time of a gap is
// taken for it: a gap of 45 degrees at a turn in 64 s is 8 s, half of it either side.
func TestArcOuts_declared(t *testing.T) {
	a, at := outsOf(heat.TravelDeclared)
	a.job.Deposit.Gaps[0].To = 125
	a.job.Rotation.Speed = 1.0 / 64
	for off, want := range map[quantity.Seconds]int{3.99: 1, 4: 0, 8: 0, 12: 0, 12.01: 1} {
		require.Len(t, a.between(at(20), at(50), off), want, off)
	}
	a.job.Rotation.Speed = 0
	found := a.between(at(20), at(50), 8)
	require.Len(t, found, 1, "the rotation is not declared")
	require.Equal(t, quantity.Seconds(8), found[0].Duration)
	require.Equal(t, at(20).Moment, found[0].Start)
	require.Equal(t, at(20).Place, found[0].Place)
	require.InDelta(t, 30, float64(*found[0].Way), 1e-9)
	a.job.Rotation.Speed, a.job.Deposit.Gaps = 1.0/64, nil
	require.Len(t, a.between(at(20), at(50), 0.31), 1, "there is no gap")
	require.Empty(t, a.between(at(20), at(50), 0.3), "for the hold time")
}

// While it lasts: with counted turns it is one as soon as it is longer than the hold
// time, with a declared rotation only once it cannot be a gap any more.
func TestArcOuts_open(t *testing.T) {
	a, at := outsOf(heat.TravelMeasured)
	a.Begin(nil, at(20))
	require.Empty(t, a.open(at(30), 2), "the arc burns")
	a.Rest(at(20))
	require.Empty(t, a.open(at(20), 0.3))
	require.Empty(t, a.open(at(20), 0))
	open := a.open(at(30), 0.5)
	require.Len(t, open, 1)
	require.InDelta(t, 20, float64(open[0].Place.Angle), 1e-6)
	open[0].Place = nil
	require.Equal(t, Open{Rule: ArcOut, Since: at(20).Moment, Lasted: 0.5, Value: 0.5, Worst: 0.5, Limit: 0.3, Beyond: 0.2, Certain: true}, open[0])

	a, at = outsOf(heat.TravelDeclared)
	a.job.Deposit.Gaps[0].To = 125
	a.job.Rotation.Speed = 1.0 / 64
	a.Rest(at(20))
	require.Empty(t, a.open(at(30), 2), "too short for a gap, but it goes on")
	require.Empty(t, a.open(at(30), 12))
	require.Len(t, a.open(at(30), 12.01), 1)
	a.job.Rotation.Speed = 0
	require.Empty(t, a.open(at(30), 100), "for how long the gap would take, nobody said")
	a.job.Deposit.Gaps = nil
	require.Len(t, a.open(at(30), 0.31), 1)
}

// On a plate there is no angle, and no gap.
func TestArcOuts_onAPlate(t *testing.T) {
	a, at := outsOf(heat.TravelMeasured)
	a.torch = turning{plate: true}
	found := a.between(at(90), at(100), 1)
	require.Len(t, found, 1)
	require.Nil(t, found[0].Place)
}

// Through the watch: an arc-out of 0.5 s within a pass is numbered and has its sentence.
func TestWatch_arcOut(t *testing.T) {
	w := newWeld(testJob())
	w.burn(2)
	w.rest(0.3)
	w.burn(2)
	require.Empty(t, w.Found(), "for the hold time")
	w.rest(0.5)
	require.Empty(t, w.Open(w.here(), 3), "the arc burns")
	f := w.only(t)
	require.Equal(t, "arc out for 0.5 s where the plan has it burning, from 122 deg at 1.0 mm depth; look for a hole in the bead and a cold restart", f.Sentence)
	require.Equal(t, 4, f.Pass)
	require.InDelta(t, 0.2, f.Beyond, 1e-12)
	require.Equal(t, 1, w.pass.Findings)
}
