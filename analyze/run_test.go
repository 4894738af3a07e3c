package analyze

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/acquire/series"
	"arctally/analyze/bore"
	"arctally/analyze/finding"
	"arctally/analyze/heat"
	"arctally/analyze/procedure"
)

// coupon is a straight bead of which everything is declared.
func coupon() *procedure.Job {
	return &procedure.Job{
		Name:      "coupon",
		Deposit:   bore.Deposit{Pattern: bore.Straight, WireDiameter: 0.9e-3, Efficiency: 0.95},
		Setpoints: procedure.Setpoints{TravelSpeed: 5e-3},
		Procedure: demoProcedure(),
	}
}

func demoProcedure() procedure.Procedure {
	return procedure.Procedure{
		Name: "P", Process: "MAG",
		Limits: procedure.Limits{
			Voltage:     between[quantity.Volts](16.5, 19),
			Current:     between[quantity.Amperes](110, 160),
			WireSpeed:   between[quantity.MetresPerSecond](4.5/60, 6.5/60),
			TravelSpeed: between[quantity.MetresPerSecond](0.280/60, 0.420/60),
			HeatInput:   between[quantity.JoulesPerMetre](0.25e6, 0.55e6),
			Interpass:   quantity.Range[quantity.Celsius]{High: 250, HasHigh: true},
		},
		Judge: procedure.Judge{
			Definition: procedure.EN1011, Power: series.Instantaneous, AverageOver: 0.5, Dwell: 1, Hold: 0.3,
			GuardBand: 1, ArcCurrent: 15, ArcVoltage: 8, ArcOnTolerance: 0.03,
		},
	}
}

func between[Q quantity.Quantity](low, high Q) quantity.Range[Q] {
	return quantity.Range[Q]{Low: low, High: high, HasLow: true, HasHigh: true}
}

// boreJob is a helix of four turns, with a gap.
func boreJob(pattern bore.Pattern) *procedure.Job {
	j := coupon()
	j.Bore = bore.Bore{WornDiameter: 0.092, FinishDiameter: 0.090, WeldToDiameter: 0.086, Length: 0.012}
	j.Deposit = bore.Deposit{Pattern: pattern, Pitch: 0.003, WireDiameter: 0.9e-3, Efficiency: 0.95, Gaps: []bore.Gap{{From: 80, To: 116}}}
	j.Rotation = procedure.Rotation{Speed: 1.25 / 60}
	j.Setpoints = procedure.Setpoints{WireSpeed: 5.5 / 60}
	return j
}

func source(turns float64) series.Source {
	return series.Source{
		Name: "box", CountsPerTurn: turns,
		Channels: []series.Channel{
			{Name: "voltage", Unit: "V", Scale: 0.01, Basis: series.Instantaneous},
			{Name: "current", Unit: "A", Scale: 0.1, Basis: series.Instantaneous},
			{Name: "wire_speed", Unit: "m/s", Scale: 1},
			{Name: "temperature", Unit: "degC", Scale: 1},
		},
	}
}

// arcSignal is a dipping arc at 1 kHz: 3 ms of 2 V 300 A, 9 ms of 20 V 130 A,
// one dip of 12 ms after another. off says when there is none.
type arcSignal struct {
	step    int64
	off     func(tick int64) bool
	voltage func(tick int64) float64
	turns   func(tick int64) float64 // nil is not counted
}

func (a arcSignal) at(tick int64) (v, i float64) {
	if a.off != nil && a.off(tick) {
		return 0, 0
	}
	more := 0.0
	if a.voltage != nil {
		more = a.voltage(tick)
	}
	if tick/a.step%12 < 3 {
		return 2 + more, 300
	}
	return 20 + more, 130
}

// feed plays the signal in blocks of the lengths that size returns.
func feed(t testing.TB, r *Run, a arcSignal, until int64, size func() int) {
	t.Helper()
	last := int64(-1)
	for tick := int64(0); tick < until; {
		n := min(size(), int((until-tick)/a.step))
		if n == 0 {
			return
		}
		b := series.Block{Kind: series.Arc, Tick: tick, Step: a.step}
		turn := series.Block{Kind: series.Turn, Ticks: []int64{}}
		for range n {
			v, i := a.at(tick)
			b.V = append(b.V, int32(math.Round(v*100)))
			b.I = append(b.I, int32(math.Round(i*10)))
			if a.turns != nil {
				if c := int64(math.Floor(a.turns(tick) * 360)); c != last {
					turn.Ticks, turn.Count, last = append(turn.Ticks, tick), append(turn.Count, c), c
				}
			}
			tick += a.step
		}
		if len(turn.Count) > 0 {
			require.NoError(t, r.Block(&turn))
		}
		require.NoError(t, r.Block(&b))
	}
}

func always(n int) func() int { return func() int { return n } }

const ms = 1_000_000

func TestRun_meanPowerOfADippingArcIsTheTrueOne(t *testing.T) {
	r := New(coupon(), nil)
	require.NoError(t, r.Source(source(0)))
	// The arc burns from 1 s to 10.6 s: 800 whole cycles.
	off := func(tick int64) bool { return tick < 1000*ms+3*ms || tick > 10600*ms }
	feed(t, r, arcSignal{step: ms, off: off}, 12000*ms, always(100))
	res := r.Finish()
	require.Len(t, res.Passes, 1)
	p := res.Passes[0]
	// By hand, with the mean of the products (J. Braz. Soc. Mech. Sci. Eng. 2021,
	// doi 10.1007/s40430-021-03317-6, equations 2 to 4; read): P is
	// (3*2*300 + 9*20*130)/12 = 2100 W, where the means would give 15.5*172.5 = 2674.
	// Trapezoids at 1 kHz lose nothing over whole cycles but half a step at either end.
	require.InDelta(t, 2100, float64(*p.PowerMean), 2)
	require.InDelta(t, 15.5, float64(*p.VoltageMean), 0.01)
	require.InDelta(t, 172.5, float64(*p.CurrentMean), 0.2)
	require.InDelta(t, 9.597, float64(p.ArcTime), 0.002)
	require.Equal(t, series.Instantaneous, p.PowerBasis)
	require.Equal(t, 1, p.Intervals)
	require.InDelta(t, 0.42e6*0.8, float64(*p.HeatInput), 600, "2100 W at 300 mm/min, HI-16, times 0.8")
	require.Equal(t, heat.TravelDeclared, p.TravelBasis)
}

func TestRun_slowSamplesAreAverages(t *testing.T) {
	r := New(coupon(), nil)
	require.NoError(t, r.Source(source(0)))
	feed(t, r, arcSignal{step: 4 * ms, off: func(tick int64) bool { return tick > 5000*ms }}, 6000*ms, always(10))
	p := r.Finish().Passes[0]
	require.Equal(t, series.Average, p.PowerBasis)
	require.Equal(t, heat.WithinNearLimit, p.Verdict, "30 % more doubt where true power is to be proved")
}

func turning(tick int64) float64 { return 1.25 / 60 * float64(tick) * 1e-9 }

func inGap(tick int64) bool {
	a := math.Mod(turning(tick)*360, 360)
	return a >= 80 && a < 116
}

func TestRun_helixWithAGapIsOnePass(t *testing.T) {
	for name, counted := range map[string]bool{"counted": true, "declared": false} {
		t.Run(name, func(t *testing.T) {
			r := New(boreJob(bore.Helix), nil)
			a := arcSignal{step: ms, off: func(tick int64) bool { return inGap(tick) || turning(tick) >= 4 }}
			s := source(0)
			if counted {
				s, a.turns = source(360), turning
			}
			require.NoError(t, r.Source(s))
			feed(t, r, a, 220_000*ms, always(1000))
			res := r.Finish()
			require.Len(t, res.Passes, 1)
			p := res.Passes[0]
			require.InDelta(t, 0.90, float64(p.ArcOnRatio), 0.001)
			require.InDelta(t, 4, *p.Turns, 0.005)
			require.InDelta(t, 4*0.9*289.04e-3, float64(*p.Travel), 1e-3)
			require.Equal(t, 5, p.Intervals)
			require.Equal(t, 1, p.Layer)
			require.InDelta(t, 0.012, float64(p.EndPlace.Depth), 2e-5)
			for _, f := range res.Findings {
				require.NotContains(t, []finding.Rule{finding.ArcOut, finding.ArcInGap, finding.ArcOnRatio}, f.Rule, f.Sentence)
			}
		})
	}
}

func TestRun_ringsAreCountedByTheTurn(t *testing.T) {
	// A ring takes 48 s, then the torch steps over for 3 s without turning.
	ring := func(tick int64) (n int64, in int64) { return tick / (51_000 * ms), tick % (51_000 * ms) }
	turns := func(tick int64) float64 {
		n, in := ring(tick)
		return float64(n) + min(1, turning(in))
	}
	off := func(tick int64) bool {
		n, in := ring(tick)
		return in >= 48_000*ms || n >= 6 || inGap(in)
	}
	r := New(boreJob(bore.Rings), nil)
	require.NoError(t, r.Source(source(360)))
	feed(t, r, arcSignal{step: ms, off: off, turns: turns}, 320_000*ms, always(1000))
	res := r.Finish()
	require.Len(t, res.Passes, 6)
	for k, p := range res.Passes {
		require.Equal(t, k/4+1, p.Layer)
		require.InDelta(t, 0.90, float64(p.ArcOnRatio), 0.002)
		require.InDelta(t, float64(k%4)*0.003, float64(p.StartPlace.Depth), 1e-6)
	}
	require.Less(t, res.Passes[4].Diameter, res.Passes[3].Diameter)
}

// unbrokenRings lays so many turns of rings without putting the arc out.
func unbrokenRings(t *testing.T, counted bool, turns float64) Result {
	t.Helper()
	job, s := boreJob(bore.Rings), source(0)
	job.Deposit.Gaps = nil
	a := arcSignal{step: ms, off: func(tick int64) bool { return turning(tick) >= turns }}
	if counted {
		s, a.turns = source(360), turning
	}
	r := New(job, nil)
	require.NoError(t, r.Source(s))
	feed(t, r, a, 200_000*ms, always(1000))
	return r.Finish()
}

func TestRun_ringsWithoutPuttingTheArcOut(t *testing.T) {
	for name, counted := range map[string]bool{"counted": true, "declared": false} {
		t.Run(name, func(t *testing.T) {
			res := unbrokenRings(t, counted, 4.02)
			require.Len(t, res.Passes, 4)
			energy := 0.0
			for k, p := range res.Passes[:3] {
				require.InDelta(t, 48, float64(p.ArcTime), 0.02)
				require.InDelta(t, 1, *p.Turns, 1e-3)
				require.InDelta(t, 289.03e-3, float64(*p.Travel), 0.2e-3)
				require.InDelta(t, float64(k)*0.003, float64(p.StartPlace.Depth), 1e-6)
				energy += float64(p.Energy)
			}
			require.InDelta(t, 4.02*48*2100, energy+float64(res.Passes[3].Energy), 200)
			require.InDelta(t, 1.02, *res.Passes[3].Turns, 3e-3, "the last one closes over its beginning")
			for _, f := range res.Findings {
				require.NotEqual(t, finding.TravelSpeed, f.Rule, f.Sentence)
			}
		})
	}
}

func TestRun_deviationIsFoundWhereItBegan(t *testing.T) {
	high := func(tick int64) float64 {
		if a := turning(tick) * 360; a >= 360+200 && a < 360+230 {
			return 5
		}
		return 2 // 17.5 V mean
	}
	lost := func(tick int64) bool { a := turning(tick) * 360; return a >= 2*360+300 && a < 2*360+305 }
	r := New(boreJob(bore.Helix), nil)
	require.NoError(t, r.Source(source(360)))
	off := func(tick int64) bool { return inGap(tick) || lost(tick) || turning(tick) >= 4 }
	feed(t, r, arcSignal{step: ms, off: off, voltage: high, turns: turning}, 220_000*ms, always(777))
	found := map[finding.Rule]finding.Finding{}
	for _, f := range r.Finish().Findings {
		if f.Rule == finding.Voltage || f.Rule == finding.ArcOut {
			require.NotContains(t, found, f.Rule)
			found[f.Rule] = f
		}
	}
	v := found[finding.Voltage]
	require.InDelta(t, 200, float64(v.Place.Angle), 1)
	require.InDelta(t, 3e-3*(1+200.0/360), float64(v.Place.Depth), 3e-5)
	require.InDelta(t, 4, float64(v.Duration), 0.1)
	require.InDelta(t, 20.5, v.Worst, 0.1, "the window is not a whole number of cycles")
	require.Equal(t, 19.0, v.Limit)
	out := found[finding.ArcOut]
	require.InDelta(t, 300, float64(out.Place.Angle), 0.5)
	require.InDelta(t, 5.0/360/1.25*60, float64(out.Duration), 0.01)
}

// Any division of the samples into blocks gives the same bits.
func TestRun_divisionIntoBlocksDoesNotMatter(t *testing.T) {
	run := func(size func() int) Result {
		r := New(boreJob(bore.Helix), nil)
		require.NoError(t, r.Source(source(360)))
		rough := func(tick int64) float64 { return 3 * math.Sin(float64(tick)*1e-9) }
		off := func(tick int64) bool { return inGap(tick) || tick%(7_000*ms) < 200*ms || turning(tick) >= 4 }
		feed(t, r, arcSignal{step: ms, off: off, voltage: rough, turns: turning}, 220_000*ms, size)
		return r.Finish()
	}
	whole := run(always(1 << 30))
	require.NotEmpty(t, whole.Findings)
	require.Equal(t, whole, run(always(1)))
	for seed := range uint64(5) {
		dice := rand.New(rand.NewPCG(seed, 1))
		require.Equal(t, whole, run(func() int { return 1 + dice.IntN(5000) }))
	}
}
