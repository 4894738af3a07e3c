package analyze

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
	"arctally/analyze/bore"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
)

// sums adds up a map and the passes that it was made from.
func sums(m *bore.Map, passes []pass.Pass, job *procedure.Job) (mapped, laid bore.Cell) {
	mapped = m.Beyond
	for _, c := range m.Cells {
		mapped.Add(c)
	}
	area := float64(bore.WireArea(job.Deposit.WireDiameter)) * float64(job.Deposit.Efficiency)
	for _, p := range passes {
		wire := float64(job.Setpoints.WireSpeed) * float64(p.ArcTime)
		if p.Wire != nil {
			wire = float64(*p.Wire)
		}
		laid.Add(bore.Cell{Energy: p.Energy, ArcTime: p.ArcTime, Path: *p.Travel, Volume: area * wire})
	}
	return mapped, laid
}

func requireConserved(t *testing.T, res Result, job *procedure.Job) {
	t.Helper()
	mapped, laid := sums(res.Map, res.Passes, job)
	require.InEpsilon(t, float64(laid.Energy), float64(mapped.Energy), 1e-9)
	require.InEpsilon(t, float64(laid.ArcTime), float64(mapped.ArcTime), 1e-9)
	require.InEpsilon(t, laid.Volume, mapped.Volume, 1e-9)
	require.InEpsilon(t, float64(laid.Path), float64(mapped.Path), 1e-9)
}

// wiry has every reading of the wire speed at 10 Hz, as feed does for the arc.
func wiry(t *testing.T, r *Run, until int64, speed func(tick int64) float64) {
	t.Helper()
	b := series.Block{Kind: series.Slow, Ticks: []int64{}}
	for tick := int64(0); tick < until; tick += 100 * ms {
		b.Ticks, b.Channel, b.Value = append(b.Ticks, tick), append(b.Channel, 2), append(b.Value, speed(tick))
	}
	require.NoError(t, r.Block(&b))
}

func TestMap_nothingIsLost(t *testing.T) {
	brief := func(tick int64) bool { return inGap(tick) || tick%(7_000*ms) < 200*ms || turning(tick) >= 4.02 }
	for name, c := range map[string]struct {
		pattern       bore.Pattern
		counted, wire bool
		gaps          bool
	}{
		"helix counted": {bore.Helix, true, true, true}, "helix declared": {bore.Helix, false, false, true},
		"rings counted": {bore.Rings, true, true, false}, "rings declared": {bore.Rings, false, true, false},
	} {
		t.Run(name, func(t *testing.T) {
			job := boreJob(c.pattern)
			a, s := arcSignal{step: ms, off: brief}, source(0)
			if !c.gaps {
				job.Deposit.Gaps = nil
				a.off = func(tick int64) bool { return turning(tick) >= 4.02 }
			}
			if c.counted {
				s, a.turns = source(360), turning
			}
			r := New(job, nil)
			require.NoError(t, r.Source(s))
			if c.wire {
				wiry(t, r, 220_000*ms, func(tick int64) float64 { return 0.09 + 0.01*math.Sin(float64(tick)*1e-9) })
			}
			feed(t, r, a, 220_000*ms, always(1000))
			res := r.Finish()
			requireConserved(t, res, job)
			require.Equal(t, c.wire, res.Map.WireMeasured > 0)
			require.Equal(t, c.wire, res.Map.WireDeclared == 0)
		})
	}
}

func TestMap_nothingIsLostOfSums(t *testing.T) {
	job := boreJob(bore.Helix)
	r := New(job, nil)
	s := source(0)
	s.WirePerCount = 1e-4
	require.NoError(t, r.Source(s))
	for k := range int64(600) { // 60 s in windows of 100 ms, each sixth only half in arc
		b := series.Block{Kind: series.Sums, Tick: k * 100 * ms, Step: ms}
		b.Sum.Count, b.Sum.ArcOn = 100, 100
		if k%6 == 0 {
			b.Sum.ArcOn = 50
		}
		b.Sum.V, b.Sum.I, b.Sum.VI, b.Sum.WireCount = 100*1750, 100*1400, 100*1750*1400, 90
		require.NoError(t, r.Block(&b))
	}
	res := r.Finish()
	require.Len(t, res.Passes, 1)
	require.InDelta(t, 55, float64(res.Passes[0].ArcTime), 1e-9)
	requireConserved(t, res, job)
}

// Rings that follow one another without an arc-out: what burned in the overlap
// lies at the depth of the ring that it belongs to.
func TestMap_ringsWithoutPuttingTheArcOut(t *testing.T) {
	for name, counted := range map[string]bool{"counted": true, "declared": false} {
		t.Run(name, func(t *testing.T) {
			res := unbrokenRings(t, counted, 4)
			require.Len(t, res.Passes, 4)
			for row := range res.Map.Rows {
				for column := range res.Map.Columns {
					require.InDelta(t, 48.0/72, float64(res.Map.At(row, column).ArcTime), 0.03, "row %d column %d", row, column)
				}
			}
		})
	}
}

// A helix laid evenly is as thick everywhere as conservation of volume says.
func TestMap_evenHelixHasTheThicknessOfItsLayer(t *testing.T) {
	job := boreJob(bore.Helix)
	job.Deposit.Gaps = nil
	r := New(job, nil)
	require.NoError(t, r.Source(source(360)))
	a := arcSignal{step: ms, off: func(tick int64) bool { return turning(tick) >= 4 }, turns: turning}
	feed(t, r, a, 220_000*ms, always(1000))
	m := r.Finish().Map
	rates := bore.Rates{WireSpeed: job.Setpoints.WireSpeed, Rotation: job.Rotation.Speed}
	next, err := bore.LayerDiameter(job.Bore, job.Deposit, rates, 2)
	require.NoError(t, err)
	want := float64(job.Bore.WornDiameter-next) / 2
	for row := range m.Rows {
		for column := range m.Columns {
			require.InEpsilon(t, want, float64(m.Height(row, column)), 0.01, "row %d column %d", row, column)
		}
	}
	clean := m.CleanUp(m.NewAllowance(bore.DefaultEccentricity))
	require.Equal(t, bore.Enough, clean.Answer)
	require.Empty(t, clean.Short)
	require.InDelta(t, want-1e-3, float64(clean.Least), 0.01*want)
}

func TestMap_holeIsTheLeastStock(t *testing.T) {
	lost := func(tick int64) bool { a := turning(tick) * 360; return a >= 2*360+300 && a < 2*360+318 }
	job := boreJob(bore.Helix)
	r := New(job, nil)
	require.NoError(t, r.Source(source(360)))
	off := func(tick int64) bool { return inGap(tick) || lost(tick) || turning(tick) >= 4 }
	feed(t, r, arcSignal{step: ms, off: off, turns: turning}, 220_000*ms, always(777))
	res := r.Finish()
	c := res.Map.CleanUp(res.Map.NewAllowance(bore.DefaultEccentricity))
	require.Equal(t, bore.TooLittle, c.Answer)
	require.InDelta(t, 309, float64(c.Place.Angle), 9, "within the hole")
	require.InDelta(t, 2.83*3e-3, float64(c.Place.Depth), 3e-3)
	require.InDelta(t, -1e-3, float64(c.Least), 1e-9, "nothing on the worn wall")
	require.Len(t, c.Short, 1)
	require.InDelta(t, 300, float64(c.Short[0].From), 5)
	require.InDelta(t, 320, float64(c.Short[0].To), 5)
	require.Equal(t, 1, res.Map.Put(res.Map.Index(res.Findings[0].Place)).Findings)
}

// A gap in the data is no hole: nobody knows what was laid.
func TestMap_missingDataIsNotSeen(t *testing.T) {
	job := boreJob(bore.Helix)
	job.Deposit.Gaps = nil
	r := New(job, nil)
	require.NoError(t, r.Source(source(0)))
	a := arcSignal{step: ms}
	for tick := int64(0); tick < 192_000*ms; tick += 1000 * ms {
		if tick >= 100_000*ms && tick < 103_000*ms { // 22.5 degrees from 750 on
			continue
		}
		b := series.Block{Kind: series.Arc, Tick: tick, Step: ms, Break: tick == 103_000*ms}
		for k := range int64(1000) {
			v, i := a.at(tick + k*ms)
			b.V, b.I = append(b.V, int32(math.Round(v*100))), append(b.I, int32(math.Round(i*10)))
		}
		require.NoError(t, r.Block(&b))
	}
	res := r.Finish()
	c := res.Map.CleanUp(res.Map.NewAllowance(bore.DefaultEccentricity))
	require.Equal(t, bore.NotSeen, c.Answer)
	require.Empty(t, c.Short)
	require.Len(t, c.Unseen, 1)
	require.InDelta(t, 30, float64(c.Unseen[0].From), 5)
	require.InDelta(t, 52.5, float64(c.Unseen[0].To), 5)
	seen := bore.Cell{}
	for _, cell := range res.Map.Cells {
		seen.Add(cell)
	}
	require.InDelta(t, 3.0, float64(seen.Unseen), 0.01)
}

func TestMap_noneWithoutABore(t *testing.T) {
	r := New(coupon(), nil)
	require.NoError(t, r.Source(source(0)))
	feed(t, r, arcSignal{step: ms}, 3000*ms, always(100))
	res := r.Finish()
	require.Nil(t, res.Map)
	require.Len(t, res.Profiles, 1)
	require.EqualValues(t, "arc time", res.Profiles[0].Way)
	require.Len(t, res.Profiles[0].Bins, 6)
}

// The map is made anew only when there is more to show, and each finding is counted in its
// cell.
func TestMap_isMadeAnewForMore(t *testing.T) {
	l := lays(t)["helix"]
	l.signal.voltage = func(tick int64) float64 { // two deviations, at about 60 and 225 degrees
		if second := tick / 1_000_000_000; second >= 8 && second < 10 || second >= 30 && second < 33 {
			return 6
		}
		return 2
	}
	l.until = 40_000 * ms
	var maps []*bore.Map
	var found []int
	res := l.run(t, always(1000), func(r *Run) {
		result := r.Result()
		maps, found = append(maps, result.Map), append(found, len(result.Findings))
		require.Same(t, result.Map, r.Result().Map, "nothing has come meanwhile")
	})
	require.Same(t, maps[0], maps[1])
	require.NotSame(t, maps[0], maps[len(maps)-1])
	require.NotSame(t, maps[len(maps)-1], res.Map, "the pass has ended")
	require.GreaterOrEqual(t, len(res.Findings), 2)
	marked := res.Map.Beyond.Findings
	for k := range res.Map.Cells {
		marked += res.Map.Cells[k].Findings
	}
	require.Equal(t, len(res.Findings), marked)
	require.Positive(t, res.Map.Put(res.Map.Index(res.Findings[0].Place)).Findings)
	for k := 1; k < len(maps); k++ {
		require.Equal(t, found[k] != found[k-1], maps[k] != maps[k-1], "look %d", k)
	}
}
