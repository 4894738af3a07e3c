package pass

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
	"arctally/analyze/arc"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
	"arctally/analyze/procedure"
)

// followed is a source that tells where the torch is, along so many axes.
func followed(axes int) series.Source {
	src := series.Source{Channels: []series.Channel{{Scale: 0.01}, {Scale: 0.1}}}
	for _, name := range PositionChannels[:axes] {
		src.Channels = append(src.Channels, series.Channel{Name: name, Unit: "m"})
	}
	return src
}

// bead lays one of 20 s at 6 mm/s, and has the torch go on its way from 5 s before to 5 s
// after it; where gives its place at a time of the bead in s.
func beadAlong(t *testing.T, j *procedure.Job, axes, hertz int, where func(at float64) [3]float64) Pass {
	t.Helper()
	l := newLathe(j, 0)
	l.Source(followed(axes))
	for k := range 30 * hertz {
		tick := int64(k) * s / int64(hertz)
		at := float64(tick)/1e9 - 5
		for axis, x := range where(at) {
			if axis < axes {
				l.Position(axis, tick, x)
			}
		}
		i := 0.0
		if at >= 0 && at <= 20 {
			i = 100
		}
		l.Samples([]arc.Sample{{Tick: tick, V: 20, I: i}})
	}
	p := l.end()
	require.Len(t, p, 1)
	return p[0]
}

// However the torch goes, its path is the way that it went in arc: along an axis, back
// along it, slanting, round a corner and round a circle; with scatter, and with a weave.
func TestCarriage_path(t *testing.T) {
	const speed = 0.006
	random := rand.New(rand.NewPCG(4, 4))
	step := func(x float64) float64 { return math.Round(x/1e-4) * 1e-4 }
	for name, c := range map[string]struct {
		axes, hertz int
		where       func(at float64) [3]float64
		tolerance   float64
	}{
		"along":     {1, 10, func(at float64) [3]float64 { return [3]float64{3 + speed*at} }, 1e-6},
		"back":      {1, 10, func(at float64) [3]float64 { return [3]float64{-speed * at} }, 1e-6},
		"slanting":  {3, 10, func(at float64) [3]float64 { return [3]float64{speed * at * 0.6, 7, -speed * at * 0.8} }, 1e-6},
		"in steps":  {1, 10, func(at float64) [3]float64 { return [3]float64{step(speed * at)} }, 0.002},
		"slow rows": {2, 1, func(at float64) [3]float64 { return [3]float64{speed * at * 0.6, speed * at * 0.8} }, 1e-6},
		"a corner":  {2, 10, func(at float64) [3]float64 { return [3]float64{speed * min(at, 9.3), speed * max(at-9.3, 0)} }, 0.02},
		"a circle": {2, 10, func(at float64) [3]float64 {
			return [3]float64{0.045 * math.Cos(speed*at/0.045), 0.045 * math.Sin(speed*at/0.045)}
		}, 0.002},
		"scatter of 0.3 mm": {3, 50, func(at float64) [3]float64 {
			return [3]float64{speed*at + 3e-4*random.NormFloat64(), 3e-4 * random.NormFloat64(), 3e-4 * random.NormFloat64()}
		}, 0.005},
		"a weave of 3 mm at 3 Hz": {2, 50, func(at float64) [3]float64 { return [3]float64{speed * at, 1.5e-3 * math.Sin(2*math.Pi*3*at)} }, 0.005},
	} {
		t.Run(name, func(t *testing.T) {
			p := beadAlong(t, job(bore.Straight), c.axes, c.hertz, c.where)
			require.Equal(t, heat.TravelMeasured, p.TravelBasis)
			require.InEpsilon(t, speed*float64(p.ArcTime), float64(*p.Travel), c.tolerance)
			require.InEpsilon(t, speed, float64(*p.TravelSpeed), c.tolerance)
			require.Contains(t, names(p.Budget), heat.TravelResolution)
			require.NotContains(t, names(p.Budget), heat.TurnResolution)
		})
	}
}

// Where the torch goes while the arc is out is no bead; nor does a bead of less than two
// seconds show its way, and what is declared stands in.
func TestCarriage_onlyInArc(t *testing.T) {
	l := newLathe(job(bore.Straight), 0)
	l.Source(followed(1))
	x := 0.0
	for k := range int64(400) { // arc for 10 s, out for 20 s at 50 mm/s, arc for 10 s
		speed, i := 0.006, 100.0
		if k > 100 && k <= 300 {
			speed, i = 0.05, 0
		}
		x += speed / 10
		l.Position(0, k*100*ms, x)
		l.Samples([]arc.Sample{{Tick: k * 100 * ms, V: 20, I: i}})
	}
	all := l.end()
	require.Len(t, all, 2)
	for _, p := range all {
		require.Equal(t, heat.TravelMeasured, p.TravelBasis)
		require.InEpsilon(t, 0.006, float64(*p.TravelSpeed), 1e-6)
	}

	j := job(bore.Straight)
	j.Setpoints.TravelSpeed = 0.005
	l = newLathe(j, 0)
	l.Source(followed(1))
	for k := range int64(10) {
		l.Position(0, k*100*ms, 0.001*float64(k))
		l.Samples([]arc.Sample{{Tick: k * 100 * ms, V: 20, I: 100}})
	}
	p := l.end()[0]
	require.Equal(t, heat.TravelDeclared, p.TravelBasis)
	require.InEpsilon(t, 0.005, float64(*p.TravelSpeed), 1e-9)
}

// A speed that is read is added up over the arc time, each reading halfway to its
// neighbours; it counts over a declared length, and turn counts over it.
func TestCarriage_speed(t *testing.T) {
	j := job(bore.Straight)
	j.Deposit.Length = 0.5
	l := newLathe(j, 0)
	for k := range int64(101) {
		if k%10 == 0 {
			l.TravelSpeed(-0.005 - 0.0001*float64(k/10))
		}
		l.Samples([]arc.Sample{{Tick: k * 100 * ms, V: 20, I: 100}})
	}
	u, open := l.UnderWay()
	require.True(t, open)
	require.NotNil(t, u.Travel, "the way is known on the way")
	p := l.end()[0]
	require.Equal(t, heat.TravelMeasured, p.TravelBasis)
	require.InEpsilon(t, 0.0055, float64(*p.TravelSpeed), 0.003)
	k := -1
	for n, c := range p.Budget {
		if c.Name == heat.TravelResolution {
			k = n
		}
	}
	require.InEpsilon(t, 0.00005/0.0055/math.Sqrt(3), p.Budget[k].Uncertainty, 0.01)
	require.Equal(t, heat.StandIn, p.Budget[k-1].Basis, "nobody calibrated it")

	counted := newLathe(job(bore.Helix), 360)
	counted.TravelSpeed(1)
	turned := counted.play(weld(180)).end()[0]
	require.Equal(t, heat.TravelMeasured, turned.TravelBasis)
	require.NotNil(t, turned.Turns)
	require.Less(t, float64(*turned.TravelSpeed), 0.1, "by the turns")
	require.NotContains(t, names(turned.Budget), heat.TravelResolution)
}
