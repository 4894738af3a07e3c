package analyze

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
	"arctally/analyze/bore"
	"arctally/analyze/finding"
	"arctally/analyze/heat"
	"arctally/analyze/now"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
)

// lay is a job and the signal of what was laid.
type lay struct {
	job    *procedure.Job
	source series.Source
	signal arcSignal
	until  int64
}

// run plays it in blocks of given lengths, and shows the run before each block.
func (l lay) run(t testing.TB, size func() int, look func(*Run), events ...series.Event) Result {
	t.Helper()
	r := New(l.job, nil)
	require.NoError(t, r.Source(l.source))
	for _, e := range events {
		require.NoError(t, r.Event(e))
	}
	feed(t, r, l.signal, l.until, func() int {
		look(r)
		return size()
	})
	look(r)
	return r.Finish()
}

func unwatched(*Run) {}

// lays are a few passes of every pattern; all are clean.
func lays(t testing.TB) map[string]lay {
	t.Helper()
	counted := func(l lay) lay { l.source, l.signal.turns = source(360), turning; return l }
	helix := lay{
		boreJob(bore.Helix), source(0),
		arcSignal{step: ms, off: func(tick int64) bool { return inGap(tick) || turning(tick) >= 4 }, voltage: level},
		215_000 * ms,
	}
	rings := lay{boreJob(bore.Rings), source(360), arcSignal{step: ms, voltage: level}, 152_000 * ms}
	rings.signal.turns = func(tick int64) float64 {
		return float64(tick/(51_000*ms)) + min(1, turning(tick%(51_000*ms)))
	}
	rings.signal.off = func(tick int64) bool { in := tick % (51_000 * ms); return in >= 48_000*ms || inGap(in) }
	unbroken := lay{boreJob(bore.Rings), source(360), arcSignal{step: ms, turns: turning, voltage: level}, 160_000 * ms}
	unbroken.job.Deposit.Gaps = nil
	unbroken.signal.off = func(tick int64) bool { return turning(tick) >= 3.02 }
	plate := lay{coupon(), source(0), arcSignal{step: ms, off: func(tick int64) bool { return tick == 0 || tick > 30_000*ms }, voltage: level}, 40_000 * ms}
	long := plate
	long.job = coupon()
	long.job.Deposit.Length = 0.15
	all := map[string]lay{
		"helix": counted(helix), "helix declared": helix, "rings": rings, "rings with the arc on": unbroken,
		"reversing": strokes(bore.SegmentReversing), "one way": strokes(bore.SegmentOneWay), "straight": plate, "straight of a length": long,
	}
	for _, l := range all {
		l.job.Procedure.Limits.Current.High = 190 // the mean of the signal is 172.5 A
	}
	helix.job.Bore.WeldToDiameter = 0.082 // two layers
	return all
}

// level makes the mean voltage 17.5 V.
func level(int64) float64 { return 2 }

func strokes(pattern bore.Pattern) lay {
	m := append(append(motion{stand(2)}, layer(pattern, 324, 1.5)...), stand(2))
	l := lay{boreJob(pattern), source(360), arcSignal{step: ms, voltage: level}, m.length()}
	l.job.Deposit.Gaps, l.job.Rotation.StartAngle = []bore.Gap{keyway}, 116
	l.signal.off = func(tick int64) bool { _, arc := m.at(tick); return !arc }
	l.signal.turns = func(tick int64) float64 { d, _ := m.at(tick); return d/360 + 1e-9 }
	return l
}

// To look on changes no bit of what comes out.
func TestRun_nowDisturbsNothing(t *testing.T) {
	if testing.Short() {
		t.Skip("it judges whole jobs many times")
	}
	for name, l := range lays(t) {
		t.Run(name, func(t *testing.T) {
			want := l.run(t, always(1<<30), unwatched)
			require.NotEmpty(t, want.Passes)
			dice := rand.New(rand.NewPCG(1, 2))
			for _, size := range []func() int{always(100), func() int { return 1 + dice.IntN(3000) }} {
				require.Equal(t, want, l.run(t, size, func(r *Run) {
					r.Now()
					r.Turn()
				}))
			}
		})
	}
}

// What stands right before the end of a pass is what the pass comes to.
func TestRun_nowAgreesWithTheResult(t *testing.T) {
	if testing.Short() {
		t.Skip("it judges whole jobs many times")
	}
	for name, l := range lays(t) {
		for _, n := range []int{7, 100, 1000} {
			t.Run(name, func(t *testing.T) {
				last := map[int]now.Status{}
				res := l.run(t, always(n), func(r *Run) {
					s := r.Now()
					if s.Pass != nil {
						last[s.Pass.Number] = s
					}
					require.Equal(t, len(r.Result().Passes), s.Passes)
					require.Equal(t, len(r.Result().Findings), s.Findings)
				})
				require.NotEmpty(t, res.Passes)
				for _, p := range res.Passes {
					s := last[p.Number]
					require.NotNil(t, s.Pass)
					if s.Moment.Tick > p.End.Tick && p.Pattern == bore.Rings && l.job.Deposit.Gaps == nil {
						continue // the arc burned on over the close of the ring
					}
					agrees(t, &p, s, float64(max(0, p.End.Tick-s.Moment.Tick))*1e-9, l.job.Deposit.Length > 0)
				}
			})
		}
	}
}

// agrees holds a standing against the pass that ended so many seconds later.
func agrees(t *testing.T, p *pass.Pass, s now.Status, later float64, ofLength bool) {
	t.Helper()
	g := s.Pass
	require.Less(t, later, 1.1)
	near := later + 1e-9
	require.Equal(t, p.Start, g.Start)
	require.Equal(t, p.Layer, g.Layer)
	require.InDelta(t, float64(p.Energy), float64(g.Energy), 6500*near)
	require.InDelta(t, float64(p.ArcTime), float64(g.ArcTime), near)
	require.InDelta(t, float64(p.Elapsed), float64(g.Elapsed), near)
	require.Equal(t, p.TravelBasis, g.TravelBasis)
	if p.Turns != nil {
		require.InDelta(t, *p.Turns, *g.Turns, near*1.25/60+1e-4)
	}
	if ofLength {
		require.Nil(t, g.ArcEnergy, "how much of the length is laid is not known")
		require.Empty(t, g.Verdict)
		return
	}
	require.InEpsilon(t, float64(*p.Travel), float64(*g.Travel), 1e-4+near/float64(p.ArcTime))
	require.InEpsilon(t, float64(*p.HeatInput), float64(*g.HeatInput), 1e-5+near/float64(p.ArcTime)/10)
	require.InEpsilon(t, float64(*p.ExpandedUncertainty), float64(*g.ExpandedUncertainty), 1e-2)
	require.Equal(t, p.Verdict, g.Verdict)
}

// The forecast comes to the value of the pass; on the way it is near it, as long
// as everything goes as planned.
func TestRun_nowForecast(t *testing.T) {
	for name, l := range lays(t) {
		if name == "straight" {
			continue
		}
		t.Run(name, func(t *testing.T) {
			type seen struct {
				done float64
				f    now.Forecast
			}
			all := map[int][]seen{}
			ofLength := l.job.Deposit.Length > 0
			res := l.run(t, always(100), func(r *Run) {
				s := r.Now()
				if s.Pass == nil || s.Forecast == nil {
					return
				}
				done := float64(s.Pass.ArcTime) / 30
				if !ofLength {
					done = float64(*s.Pass.Done)
				}
				all[s.Pass.Number] = append(all[s.Pass.Number], seen{done, *s.Forecast})
			})
			for _, p := range res.Passes {
				final, nearEnd := float64(*p.HeatInput), 0
				for _, x := range all[p.Number] {
					if x.done < 0.2 {
						continue
					}
					require.InEpsilon(t, final, float64(x.f.Value), 0.04, "at %.2f", x.done)
					require.Equal(t, procedure.EN1011, x.f.Definition)
					if x.done >= 0.99 {
						nearEnd++
						require.InEpsilon(t, final, float64(x.f.Value), 0.01)
						require.Less(t, float64(x.f.Remaining), 2.5)
						require.Equal(t, now.Inside, x.f.State)
					}
				}
				require.NotZero(t, nearEnd)
			}
			last := all[1][len(all[1])-1].f
			require.InEpsilon(t, float64(*res.Passes[0].HeatInput), float64(last.Value), 0.003)
			require.Less(t, float64(last.Remaining), 0.7)
		})
	}
	straight := lays(t)["straight"]
	straight.run(t, always(1000), func(r *Run) { require.Nil(t, r.Now().Forecast, "its end is not planned") })
}

// A pass that runs hot so far is forecast hot, in time to do something about it.
func TestRun_nowForecastOfAHotPass(t *testing.T) {
	l := lays(t)["helix"]
	l.signal.voltage = func(int64) float64 { return 12 }
	seen := false
	res := l.run(t, always(1000), func(r *Run) {
		if s := r.Now(); s.Forecast != nil && s.Pass.Done != nil && *s.Pass.Done > 0.3 && *s.Pass.Done < 0.4 {
			seen = true
			require.Equal(t, now.Outside, s.Forecast.State)
			require.Contains(t, []heat.Verdict{heat.Outside, heat.OutsideNearLimit}, s.Forecast.Verdict)
			require.InDelta(t, 0.65*4*48, float64(s.Forecast.Remaining), 12)
			require.InDelta(t, 0.9*float64(s.Forecast.Remaining), float64(s.Forecast.RemainingArc), 5)
		}
	})
	require.True(t, seen)
	require.Contains(t, []heat.Verdict{heat.Outside, heat.OutsideNearLimit}, res.Passes[0].Verdict)
}

func TestRun_nowBeforeAnything(t *testing.T) {
	r := New(boreJob(bore.Helix), nil)
	s := r.Now()
	require.False(t, s.Any)
	require.Nil(t, s.Pass)
	require.Nil(t, s.Where)
	require.Empty(t, r.Turn().Cells)
	require.NoError(t, r.Source(source(360)))
	feed(t, r, arcSignal{step: ms, off: func(int64) bool { return true }, turns: turning}, 3_000*ms, always(100))
	s = r.Now()
	require.True(t, s.Any)
	require.False(t, s.ArcOn)
	require.Nil(t, s.Since, "no arc was struck")
	require.Nil(t, s.Voltage.Value)
	require.Nil(t, s.Pass)
	require.Nil(t, s.Forecast)
	require.Equal(t, s.Moment.Tick+500*ms, s.Newest)
}

// at plays a lay and returns how it stands at a tick.
func (l lay) at(t *testing.T, tick int64) (s now.Status, g now.Turn) {
	t.Helper()
	l.until = tick
	l.run(t, always(50), func(r *Run) { s, g = r.Now(), r.Turn() })
	return s, g
}

func TestRun_nowInTheMiddleOfAHelix(t *testing.T) {
	l := lays(t)["helix"]
	s, g := l.at(t, 100_500*ms) // 2.083 turns: 30 degrees into the third
	require.Equal(t, int64(99_999)*ms, s.Moment.Tick)
	require.True(t, s.ArcOn)
	require.InDelta(t, 100-48-116/7.5, float64(*s.Since), 0.01, "since the gap")
	require.InDelta(t, 17.5, float64(*s.Voltage.Value), 0.3)
	require.Equal(t, now.Inside, s.Voltage.State)
	require.Less(t, float64(*s.Voltage.Low), float64(*s.Voltage.High))
	require.Equal(t, heat.TravelMeasured, s.TravelBasis)
	require.InDelta(t, 1.25, float64(*s.Rotation.Value)*60, 0.08)
	require.Equal(t, 3, s.Where.Turn)
	require.InDelta(t, 30, float64(s.Where.Angle), 0.5)
	require.InDelta(t, 2.083*3e-3, float64(s.Where.Depth), 1e-5)
	require.InDelta(t, 2.083/4, float64(*s.Where.LayerDone), 0.002)
	require.False(t, *s.InGap)
	require.Equal(t, 4.0, *s.Pass.PlannedTurns)
	require.Empty(t, s.Deviations)
	require.Equal(t, 1, s.Layer.Layer)
	require.Equal(t, 2, s.NextLayer.Layer)
	require.Greater(t, s.NextLayer.Rotation, s.Layer.Rotation, "the bore closes")
	require.Less(t, s.NextLayer.Window.Low, s.NextLayer.Rotation)
	require.GreaterOrEqual(t, *s.PlannedLayers, 2)

	require.Equal(t, 3, g.Number)
	require.Len(t, g.Cells, 72)
	for k, c := range g.Cells {
		require.Equal(t, k >= 6, c.Before, "cell %d", k)
		switch {
		case k >= 17 && k < 23: // 85 to 115
			require.Zero(t, c.Planned)
			require.Nil(t, c.HeatInput)
		case k != 6 && k != 16 && k != 23 && k != 5:
			require.InDelta(t, 1, float64(c.Burned), 0.1)
			require.InDelta(t, 0.36e6, float64(*c.HeatInput), 0.06e6)
		}
	}
	require.Empty(t, g.Sectors)
}

func TestRun_nowInsideAPlannedGap(t *testing.T) {
	s, _ := lays(t)["helix"].at(t, 48_000*ms+13_500*ms) // 97.5 degrees
	require.False(t, s.ArcOn)
	require.True(t, *s.InGap)
	require.InDelta(t, 13-80/7.5, float64(*s.Since), 0.05)
	require.Empty(t, s.Deviations, "it is planned")
	require.Nil(t, s.Voltage.Value)
	require.NotNil(t, s.Pass)
	s, _ = lays(t)["helix declared"].at(t, 48_000*ms+13_500*ms)
	require.Empty(t, s.Deviations)
}

// What deviates shows while it does, and says when it is certain to be a finding.
func TestRun_nowDeviations(t *testing.T) {
	high := func(tick int64) float64 {
		if tick >= 30_000*ms {
			return 5
		}
		return 2
	}
	l := lays(t)["helix"]
	l.signal.voltage = high
	s, _ := l.at(t, 31_100*ms)
	require.Len(t, s.Deviations, 1)
	d := s.Deviations[0]
	require.Equal(t, finding.Voltage, d.Rule)
	require.InDelta(t, 30, float64(d.Since.Tick)*1e-9, 0.05)
	require.InDelta(t, 0.6, float64(d.Lasted), 0.06)
	require.False(t, d.Certain)
	require.Greater(t, d.Beyond, 0.0)
	require.Equal(t, now.Outside, s.Voltage.State)
	s, g := l.at(t, 33_000*ms)
	require.True(t, s.Deviations[0].Certain)
	require.InDelta(t, 225, float64(s.Deviations[0].Place.Angle), 1)
	require.Zero(t, s.Findings, "it is not over")
	require.Len(t, g.Sectors, 1)
	require.InDelta(t, 225, float64(g.Sectors[0].From), 1)
	require.InDelta(t, 225+2.5*7.5, float64(g.Sectors[0].To), 1.5)
	require.Zero(t, g.Sectors[0].Finding)
}

func TestRun_nowArcOutWhereItShouldBurn(t *testing.T) {
	for name, longest := range map[string]float64{"helix": 0, "helix declared": 1.5 * 36 / 7.5} {
		l := lays(t)[name]
		l.signal.off = func(tick int64) bool { return inGap(tick) || tick >= 30_000*ms }
		since := 0.0
		l.until = 39_000 * ms
		l.run(t, always(50), func(r *Run) {
			s := r.Now()
			out := float64(s.Moment.Tick-30_000*ms) * 1e-9
			if out > longest+0.35 {
				require.Len(t, s.Deviations, 1, "%s at %.2f", name, out)
				require.Equal(t, finding.ArcOut, s.Deviations[0].Rule)
				require.True(t, s.Deviations[0].Certain)
				require.InDelta(t, out, float64(s.Deviations[0].Lasted), 0.005)
				since = float64(s.Deviations[0].Since.Tick) * 1e-9
				return
			}
			for _, d := range s.Deviations {
				require.False(t, out < 0.3 && d.Rule == finding.ArcOut, "at %.2f", out)
			}
		})
		require.InDelta(t, 30, since, 0.01, name)
	}
}

// Slow channels show their mean while the arc burns, else their last reading,
// and how old it is.
func TestRun_nowSlowChannels(t *testing.T) {
	l := lays(t)["helix"]
	r := New(l.job, nil)
	require.NoError(t, r.Source(l.source))
	slow := series.Block{Kind: series.Slow, Step: 100 * ms, Channel: []uint8{2, 3}, Value: []float64{4.6 / 60, 240}}
	for k := range int64(40) {
		slow.Tick = k * 50 * ms
		slow.Ticks = []int64{slow.Tick, slow.Tick}
		require.NoError(t, r.Block(&slow))
	}
	feed(t, r, l.signal, 3_000*ms, always(100))
	s := r.Now()
	require.InDelta(t, 4.6/60, float64(*s.WireSpeed.Value), 1e-9)
	require.Equal(t, now.NearEdge, s.WireSpeed.State, "of 4.5 to 6.5 m/min")
	require.Nil(t, s.WireSpeed.Low)
	require.InDelta(t, 2.499-1.95, float64(s.WireSpeed.Age), 1e-6)
	require.EqualValues(t, 240, *s.Temperature.Value)
	require.Equal(t, now.NearEdge, s.Temperature.State)
	require.Nil(t, s.GasFlow.Value, "no sensor is fitted")
	require.Empty(t, s.GasFlow.State)
	require.NotNil(t, s.Pass.Wire)

	l.signal.off = func(tick int64) bool { return tick > 3_000*ms }
	r = New(l.job, nil)
	require.NoError(t, r.Source(l.source))
	require.NoError(t, r.Block(&slow))
	feed(t, r, l.signal, 5_000*ms, always(100))
	s = r.Now()
	require.False(t, s.ArcOn)
	require.InDelta(t, 4.6/60, float64(*s.WireSpeed.Value), 1e-9)
	require.Empty(t, s.WireSpeed.State, "nothing is judged while the arc is out")
}
