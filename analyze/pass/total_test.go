package pass

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/acquire/series"
	"arctally/analyze/arc"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
	"arctally/analyze/procedure"
)

// A bead of 100 mm on a plate, 10 s of arc at 2000 W with a brief arc-out of 0.2 s at
// 5 s. Samples come every 10 ms: the arc burns from 0 to 4.99 s and from 5.2 to
// 10.19 s.
//
//	elapsed 10.19 s     arc time 4.99 + 4.99 = 9.98 s     energy 19960 J
//	speed  = 100 mm / 9.98 s
//	E      = 19960 J / 100 mm = 199.6 J/mm
//	Q      = 0.8 * E = 159.68 J/mm      (MAG, EN 1011-1)
func TestTotal_straight(t *testing.T) {
	j := job(bore.Straight)
	j.Deposit.Length = 0.1
	p := newLathe(j, 0).play(burn(5), wait(0.2), burn(5), wait(1)).end()
	require.Len(t, p, 1)
	require.Equal(t, bore.Straight, p[0].Pattern)
	require.InDelta(t, 10.19, float64(p[0].Elapsed), 1e-9)
	require.InDelta(t, 9.98, float64(p[0].ArcTime), 1e-9)
	require.InDelta(t, 9.98/10.19, float64(p[0].ArcOnRatio), 1e-12)
	require.InDelta(t, 9.98/10.19, float64(p[0].ArcOnRatioHeldIn), 1e-12)
	require.InDelta(t, 1, float64(p[0].PlannedArcOn), 1e-12)
	require.Equal(t, 1, p[0].Intervals)
	require.Equal(t, 1, p[0].BriefArcOuts)
	require.InDelta(t, 0.21, float64(p[0].BriefArcOutTime), 1e-9)
	require.InDelta(t, 19960, float64(p[0].Energy), 1e-6)
	require.InDelta(t, 2000, float64(*p[0].PowerMean), 1e-6)
	require.InDelta(t, 20, float64(*p[0].VoltageMean), 1e-9)
	require.InDelta(t, 100, float64(*p[0].CurrentMean), 1e-9)
	require.Equal(t, series.Instantaneous, p[0].PowerBasis)
	require.InDelta(t, 0.1, float64(*p[0].Travel), 1e-12)
	require.InDelta(t, 0.1/9.98, float64(*p[0].TravelSpeed), 1e-12)
	require.Equal(t, heat.TravelDeclared, p[0].TravelBasis)
	require.InDelta(t, 199.6e3, float64(*p[0].ArcEnergy), 1e-3)
	require.InDelta(t, 159.68e3, float64(*p[0].HeatInput), 1e-3)
	require.Nil(t, p[0].Turns)
	require.Nil(t, p[0].Wire)
	require.Nil(t, p[0].Deposit)
	require.Nil(t, p[0].StartPlace)
	require.Zero(t, p[0].Layer)
	require.Zero(t, p[0].GapTime)
	require.Zero(t, p[0].HeldTime)
	require.Equal(t, Moment{Tick: 10_190 * ms}, p[0].End)
	require.Empty(t, p[0].Course.State)
}

// Without a length the declared travel makes the path: 30 mm/s for 9.99 s.
func TestTotal_straightByTravel(t *testing.T) {
	p := newLathe(job(bore.Straight), 0).play(burn(10)).end()
	require.InDelta(t, 0.2997, float64(*p[0].Travel), 1e-9)
	require.InDelta(t, 0.03, float64(*p[0].TravelSpeed), 1e-12)

	j := job(bore.Straight)
	j.Setpoints.TravelSpeed = 0
	p = newLathe(j, 0).play(burn(10)).end()
	require.Nil(t, p[0].Travel)
	require.Nil(t, p[0].TravelSpeed)
	require.Nil(t, p[0].ArcEnergy)
	require.Nil(t, p[0].HeatInput)
	require.Empty(t, p[0].Budget)
	require.Empty(t, p[0].Verdict)
}

// Two turns of a helix of 100 mm and 3 mm, of which the arc burns all but a gap of 36
// degrees a turn:
//
//	path = 1.8 turns * sqrt((pi*100)^2 + 3^2)
func TestTotal_helix(t *testing.T) {
	for name, counts := range map[string]float64{"counted": 3600, "declared": 0} {
		t.Run(name, func(t *testing.T) {
			gap := bore.Gap{From: 80, To: 116}
			slow := leg{1, 36, false}
			p := newLathe(job(bore.Helix, gap), counts).play(weld(80), slow, weld(324), slow, weld(244), wait(1)).end()
			require.Len(t, p, 1)
			require.InDelta(t, 2, *p[0].Turns, 2e-3)
			require.InDelta(t, 1.8*math.Hypot(math.Pi*0.1, 0.003), float64(*p[0].Travel), 2e-3)
			require.InDelta(t, 18, float64(p[0].ArcTime), 0.05)
			require.InDelta(t, 0.9, float64(p[0].PlannedArcOn), 1e-12)
			require.InDelta(t, 0.9, float64(p[0].ArcOnRatio), 2e-3)
			require.Equal(t, 3, p[0].Intervals)
			require.Zero(t, p[0].BriefArcOuts)
			require.InDelta(t, 0.1, float64(p[0].Diameter), 1e-12)
			angle(t, p[0].StartPlace, 0, 0)
			angle(t, p[0].EndPlace, 0, 2)
			want := heat.TravelDeclared
			if counts > 0 {
				want = heat.TravelMeasured
				require.InDelta(t, 0.1, float64(p[0].Rotation.Speed), 1e-4)
			}
			require.Equal(t, want, p[0].TravelBasis)
			require.Equal(t, want, p[0].Rotation.Basis)
		})
	}
}

// steady is the waveform of an arc that never moves: samples of 20 V and 100 A, 10 ms
// apart.
var steady = heat.Swing{Step: 0.01, PerOhm: 5}

// names are the components of a budget.
func names(b heat.Budget) (all []string) {
	for _, c := range b {
		all = append(all, c.Name)
	}
	return all
}

// What the doubt of a pass is made of follows from how it was measured.
func TestTotal_budget(t *testing.T) {
	l := newLathe(job(bore.Helix), 360).play(weld(360), wait(1))
	want := heat.Doubt{}.Budget(heat.Circumstances{
		Travel: heat.TravelMeasured, Turning: true,
		Voltage: 20, Current: 100, VoltageScale: 0.01, CurrentScale: 0.1, Counted: float64(l.end()[0].Rotation.Uncertainty / l.passes[0].Rotation.Speed),
		Swing: steady,
	})
	require.Equal(t, want, l.passes[0].Budget)
	require.InDelta(t, float64(want.Expanded(*l.passes[0].HeatInput)), float64(*l.passes[0].ExpandedUncertainty), 1e-9)
	require.Contains(t, names(want), heat.TurnResolution)

	l = newLathe(job(bore.Helix), 0)
	l.Source(series.Source{Channels: []series.Channel{{Scale: 0.01}}})
	for k := range int64(11) { // 1 s of arc, and then 1 s without data
		l.Samples([]arc.Sample{{Tick: k * 100 * ms, V: 20, I: 100, Mark: arc.Averaged}})
	}
	for k := range int64(11) {
		l.Samples([]arc.Sample{{Tick: (12+k)*100*ms + 800*ms, V: 20, I: 100, Mark: breakAt(k)}})
	}
	p := l.end()[0]
	require.InDelta(t, 1, float64(p.GapTime), 1e-9)
	require.Equal(t, series.Average, p.PowerBasis)
	require.Equal(t, heat.Doubt{}.Budget(heat.Circumstances{
		Travel: heat.TravelDeclared, Turning: true, Voltage: 20, Current: 100,
		AveragedPower: true, Means: true, Missing: 1.0 / 3,
	}), p.Budget)
}

func breakAt(k int64) arc.Mark {
	if k == 0 {
		return arc.Break | arc.Averaged
	}
	return arc.Averaged
}

// Where the procedure is qualified by means, means are no doubt; and metal below the
// layer is one.
func TestTotal_budgetOfALaterLayer(t *testing.T) {
	j := job(bore.Helix)
	j.Procedure.Judge.Power = series.Average
	l := newLathe(j, 0)
	l.play(weld(720), wait(1), weld(720), wait(1))
	p := l.end()
	require.Len(t, p, 2)
	require.Less(t, p[1].Diameter, p[0].Diameter)
	require.NotContains(t, names(p[0].Budget), heat.LayerThickness)
	require.Equal(t, heat.Doubt{}.Budget(heat.Circumstances{
		Travel: heat.TravelDeclared, Turning: true, Voltage: 20, Current: 100, VoltageScale: 0.01, CurrentScale: 0.1,
		Swing: steady, BuiltUp: float64((diameter - p[1].Diameter) / p[1].Diameter),
	}), p[1].Budget)
}

// The definition that the procedure is qualified by is the one that is judged.
func TestTotal_verdict(t *testing.T) {
	window := quantity.Range[quantity.JoulesPerMetre]{Low: 190e3, High: 210e3, HasLow: true, HasHigh: true}
	for definition, inside := range map[procedure.Definition]bool{procedure.ArcEnergy: true, procedure.EN1011: false} {
		j := job(bore.Straight)
		j.Deposit.Length = 0.1
		j.Procedure.Judge.Definition, j.Procedure.Limits.HeatInput = definition, window
		p := newLathe(j, 0).play(burn(10)).end()[0] // 199.8 J/mm, or 159.8 by EN 1011-1
		within := p.Verdict == heat.Within || p.Verdict == heat.WithinNearLimit
		require.Equal(t, inside, within, definition)
	}
	j := job(bore.Straight)
	j.Deposit.Length, j.Procedure.Process = 0.1, "a process that is not listed"
	p := newLathe(j, 0).play(burn(10)).end()[0]
	require.NotNil(t, p.ArcEnergy)
	require.Nil(t, p.HeatInput)
	require.Nil(t, p.ExpandedUncertainty)
}

// Held values are no arc time; the ratio that they would have given stands beside it.
func TestTotal_held(t *testing.T) {
	l := newLathe(job(bore.Straight), 0)
	at := func(tick int64, mark arc.Mark) {
		l.Samples([]arc.Sample{{Tick: tick * 100 * ms, V: 20, I: 100, Mark: mark}})
	}
	for k := range int64(11) {
		at(k, 0)
	}
	at(11, arc.Held)
	at(12, 0)
	at(13, 0)
	p := l.end()[0]
	require.InDelta(t, 1.1, float64(p.ArcTime), 1e-9)
	require.InDelta(t, 0.1, float64(p.HeldTime), 1e-9)
	require.InDelta(t, 1.1/1.3, float64(p.ArcOnRatio), 1e-12)
	require.InDelta(t, 1.2/1.3, float64(p.ArcOnRatioHeldIn), 1e-12)
	require.Equal(t, 1, p.BriefArcOuts)
}

// A pass of one sample has no length, no time and no means.
func TestTotal_oneSample(t *testing.T) {
	l := newLathe(job(bore.Helix), 0)
	l.Samples([]arc.Sample{{Tick: 5 * s, V: 20, I: 100}})
	p := l.end()[0]
	require.Zero(t, p.Elapsed)
	require.Zero(t, p.ArcOnRatio)
	require.Zero(t, p.ArcOnRatioHeldIn)
	require.Nil(t, p.PowerMean)
	require.Nil(t, p.VoltageMean)
	require.Nil(t, p.CurrentMean)
	require.Nil(t, p.Travel)
	require.Nil(t, p.HeatInput)
	require.Zero(t, *p.Turns)

	j := job(bore.Straight)
	j.Deposit.Length = 0.1
	l = newLathe(j, 0)
	l.Samples([]arc.Sample{{Tick: 5 * s, V: 20, I: 100}})
	require.Nil(t, l.end()[0].Travel)
}

// Windows that are never wholly in arc give energy and no means.
func TestTotal_partialWindows(t *testing.T) {
	l := newLathe(job(bore.Straight), 0)
	l.Window(arc.Window{Start: 0, End: s, Arc: s / 2, Energy: 1000, V: 10, I: 50})
	p := l.end()[0]
	require.InDelta(t, 2000, float64(*p.PowerMean), 1e-9)
	require.Nil(t, p.VoltageMean)
	require.Nil(t, p.Wire, "none was counted")
	require.NotNil(t, p.HeatInput)
}

// What may be held counts, and stands beside the pass with what it would be without it:
// over a declared length the energy is less, over a declared travel the path is too.
func TestTotal_mayBeHeld(t *testing.T) {
	for name, c := range map[string]struct {
		length quantity.Metres
		share  float64 // of the heat input that is left
	}{"length": {0.1, 1 / 1.3}, "travel": {0, 1}} {
		t.Run(name, func(t *testing.T) {
			j := job(bore.Straight)
			j.Deposit.Length, j.Setpoints.TravelSpeed = c.length, 0.1
			l := newLathe(j, 0)
			for k := range int64(14) {
				mark := arc.Mark(0)
				if k >= 5 && k < 7 {
					mark = arc.MayBeHeld
				}
				l.Samples([]arc.Sample{{Tick: k * 100 * ms, V: 20, I: 100, Mark: mark}})
			}
			p := l.end()[0]
			require.InDelta(t, 1.3, float64(p.ArcTime), 1e-9)
			require.InDelta(t, 2600, float64(p.Energy), 1e-9)
			m := p.MayBeHeld
			require.InDelta(t, 0.3, float64(m.Time), 1e-9, "from the sample before to the sample after")
			require.InDelta(t, 1.0, float64(m.ArcTime), 1e-9)
			require.InDelta(t, 1/1.3, float64(m.ArcOnRatio), 1e-9)
			require.InDelta(t, 2000, float64(m.Energy), 1e-9)
			require.NotNil(t, m.HeatInput)
			require.InEpsilon(t, c.share, float64(*m.HeatInput / *p.HeatInput), 1e-9)
		})
	}
	l := newLathe(job(bore.Straight), 0)
	l.Samples([]arc.Sample{{Tick: 0, V: 20, I: 100}, {Tick: 100 * ms, V: 20, I: 100}})
	require.Nil(t, l.end()[0].MayBeHeld)
}

// The arc that comes and goes as it is struck has no brief arc-outs, up to a tenth of a second
// after the strike; later it has. After a longer arc-out it is struck anew.
func TestTotal_ignitionIsNoArcOut(t *testing.T) {
	for burns, want := range map[float64]int{0.05: 0, 0.11: 0, 0.12: 1} {
		p := newLathe(job(bore.Straight), 0).play(burn(burns), wait(0.02), burn(5), wait(0.5), burn(burns), wait(0.02), burn(5)).end()
		require.Len(t, p, 1, burns)
		require.Equal(t, 2*want, p[0].BriefArcOuts, burns)
	}
}
