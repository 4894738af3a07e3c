package byangle

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/harmonic"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
)

// A wave of 3 and 4 has an amplitude of 5 A and its crest at 53.13 degrees; noise of the
// power 0.02 makes it uncertain by 0.1 A, which is 1.146 degrees of the wave. With 30
// places a chance of 1e-4 takes a power of 0.02*30*(10^(4/30) - 1) = 0.21561, the
// amplitude 0.46434 A.
func TestSwing_byHand(t *testing.T) {
	noise := harmonic.Noise{Power: 0.02, Places: 30}
	for order, doubt := range map[int]float64{1: 1.145916, 2: 1.145916 / 2} {
		s := swing(harmonic.Wave{Cos: 3, Sin: 4}, noise, 100, order, leastOnce)
		assert.True(t, s.Known)
		assert.True(t, s.Found)
		assert.InDelta(t, 0.05, float64(s.Amplitude), 1e-12)
		assert.InDelta(t, 0.001, float64(s.Uncertainty), 1e-12)
		assert.InDelta(t, 0.0046434, float64(s.Least), 1e-7)
		assert.InDelta(t, 53.130102/float64(order), float64(s.Crest), 1e-6)
		assert.InDelta(t, doubt, float64(s.CrestDoubt), 1e-6)
	}
	s := swing(harmonic.Wave{Cos: 1e-6}, noise, 100, 2, leastTwo)
	assert.Equal(t, quantity.Degrees(90), s.CrestDoubt, "nobody knows where half a turn has its crest")
	assert.InDelta(t, 1, s.Chance, 1e-9)
	assert.False(t, s.Found)
	assert.Zero(t, swing(harmonic.Wave{}, noise, 100, 1, leastOnce).CrestDoubt, "there is no crest")
}

// A swing is told from the least on, if it is sure enough.
func TestSwing_least(t *testing.T) {
	silent := harmonic.Noise{Places: 30}
	assert.True(t, swing(harmonic.Wave{Cos: 0.004}, silent, 1, 1, leastOnce).Found)
	assert.False(t, swing(harmonic.Wave{Cos: 0.00399}, silent, 1, 1, leastOnce).Found)
	assert.InDelta(t, 0.004, float64(swing(harmonic.Wave{}, silent, 1, 1, leastOnce).Least), 1e-15)
	noise := harmonic.Noise{Power: 0.02, Places: 30}
	assert.True(t, swing(harmonic.Wave{Cos: 0.465}, noise, 100, 1, leastOnce).Found)
	assert.False(t, swing(harmonic.Wave{Cos: 0.464}, noise, 100, 1, leastOnce).Found)
}

// 2 % of 140 A at 7 A/mm are 0.4 mm; 0.1 % are 0.02 mm, and a tenth of the distance is
// 0.04 mm: 0.0447 mm together.
func TestWatch_distances(t *testing.T) {
	w := NewWatch(job(bore.Helix), nil)
	s := Sweep{
		Mean:      Bin{ArcTime: 50, Current: 50 * 140}, // sums, as yet
		OffCentre: Swing{Known: true, Amplitude: 0.02, Uncertainty: 0.001},
	}
	w.distances(&s)
	assert.InDelta(t, 0.4e-3, float64(*s.OffCentre.Distance), 1e-12)
	assert.InDelta(t, 0.0447214e-3, float64(*s.OffCentre.DistanceDoubt), 1e-10)
	assert.Nil(t, s.Oval.Distance)
	w.job.Setpoints.CurrentPerDistance = 0
	s.OffCentre.Distance = nil
	w.distances(&s)
	assert.Nil(t, s.OffCentre.Distance, "how the current follows the distance was not measured")
}

// Two components, uncertain by 0.0006 and 0.0008 each, are 0.001 together; 1e-4 is the
// chance of sqrt(-2*ln(1e-4)) = 4.2919 times that.
func TestWatch_heldAgainstLast(t *testing.T) {
	for name, c := range map[string]struct {
		cos, sin, doubt float64
		known           bool
		moved           float64
		shifted         bool
	}{
		"by noise":              {0.012, 0.02 + 0.00428, 0.0008, true, 0.00428, false},
		"by more":               {0.012, 0.02 + 0.00430, 0.0008, true, 0.00430, true},
		"across":                {0.012 - 0.003, 0.02 - 0.004, 0.0008, true, 0.005, true},
		"less than is a matter": {0.012 + 0.0039, 0.02, 0, true, 0.0039, false},
		"not known":             {0, 0, 0.0008, false, 0, false},
	} {
		t.Run(name, func(t *testing.T) {
			w := NewWatch(job(bore.Helix), nil)
			first := Sweep{OffCentre: Swing{Known: true}, cos: 0.012, sin: 0.02, doubt: 0.0006}
			if c.doubt == 0 {
				first.doubt = 0
			}
			w.sweeps = []Sweep{first}
			s := Sweep{OffCentre: Swing{Known: c.known}, cos: c.cos, sin: c.sin, doubt: c.doubt}
			w.heldAgainstLast(&s)
			assert.InDelta(t, c.moved, float64(s.Moved), 1e-12)
			assert.Equal(t, c.shifted, s.Shifted)
		})
	}
	w := NewWatch(job(bore.Helix), nil)
	w.sweeps = []Sweep{{OffCentre: Swing{Known: true}}}
	s := Sweep{OffCentre: Swing{Known: true}, cos: leastOnce}
	w.heldAgainstLast(&s)
	assert.True(t, s.Shifted, "exactly as much as is a matter")
}

// around is a curve of 40 points a turn with the level, without noise.
func around(points int, level float64) *harmonic.Curve {
	c := &harmonic.Curve{}
	for k := range points {
		x := float64(k) / 40
		c.Add(x, level*(1+0.02*math.Cos(2*math.Pi*x)), 1)
	}
	return c
}

// Six places of the spectrum tell what noise is. Over 3.95 turns those are the 2nd, 6th,
// 10th, 14th, 18th and 22nd of a turn in 3.95; over 3.8 turns there are five, the 2nd, 6th,
// 13th, 17th and 21st: the others lie less than one and a half from a whole order.
func TestSweep_swingsNeedSixPlaces(t *testing.T) {
	for points, want := range map[int]bool{159: true, 153: false, 41: false} {
		var s Sweep
		s.swings(around(points, 140))
		assert.Equal(t, want, s.OffCentre.Known, "%d points", points)
		assert.Equal(t, want, s.Oval.Known)
	}
	for _, level := range []float64{0, -140} {
		var s Sweep
		s.swings(around(400, level))
		assert.False(t, s.OffCentre.Known, "no current of %g A", level)
	}
	var s Sweep
	s.swings(around(401, 140))
	assert.InDelta(t, 0.02, s.cos, 1e-6)
	assert.InDelta(t, 0, s.sin, 1e-6)
	assert.InDelta(t, float64(s.OffCentre.Uncertainty), s.doubt, 1e-15)
}

// Anti-clockwise the turns go below 0; the angles stay between 0 and 360.
func TestWatch_sweep_binsAnticlockwise(t *testing.T) {
	w := NewWatch(job(bore.Helix), nil)
	w.job.Rotation.StartAngle = 0
	p := func(turns, amperes float64) harmonic.Point {
		return harmonic.Point{Turns: turns, Weight: 2e9, Mean: [harmonic.Channels]float64{voltage: 17, current: amperes, power: 17 * amperes, wire: 0.09}}
	}
	s := w.sweep([]harmonic.Point{p(-0.001, 100), p(-0.999, 200), p(-1.002, 300), p(-2.5, 400)})
	assert.InDelta(t, 200, float64(s.Bins[71].Current), 1e-9, "of 100 A and 300 A")
	assert.InDelta(t, 200, float64(s.Bins[0].Current), 1e-9)
	assert.InDelta(t, 400, float64(s.Bins[36].Current), 1e-9)
	assert.Equal(t, quantity.Seconds(4), s.Bins[71].ArcTime)
	assert.InDelta(t, 3400, float64(s.Bins[71].Power), 1e-9)
	assert.InDelta(t, 8, float64(s.Mean.ArcTime), 1e-12)
	assert.InDelta(t, 250, float64(s.Mean.Current), 1e-9)
	assert.InDelta(t, 17, float64(s.Mean.Voltage), 1e-9)
	require.Len(t, s.ByTurn, 3)
	for k, want := range []float64{150, 300, 400} {
		assert.Equal(t, k+1, s.ByTurn[k].Number)
		assert.InDelta(t, want, float64(s.ByTurn[k].Current), 1e-9)
	}
	assert.InDelta(t, 2.499, s.Turns, 1e-12)
}

func TestSweep_turnsAreBounded(t *testing.T) {
	var s Sweep
	s.addTurn(499, &harmonic.Point{Weight: 1})
	require.Len(t, s.ByTurn, 500)
	assert.Equal(t, 500, s.ByTurn[499].Number)
	s.addTurn(500, &harmonic.Point{Weight: 1})
	assert.Len(t, s.ByTurn, 500)
}

// Where the rotation is derived, each pass is a sweep of its own, and turns from its start.
func TestWatch_derivedPassesOneByOne(t *testing.T) {
	w := NewWatch(job(bore.Helix), func(Sweep) {})
	lay(w, heat.TravelDerived, 1, 1, 2, 8.3, swung{once: 0.02, crest: 75})
	require.Len(t, w.Sweeps(), 2)
	for k, s := range w.Sweeps() {
		assert.Equal(t, k+1, s.First)
		assert.InDelta(t, 0, float64(bore.AngleDifference(s.OffCentre.Crest, 75)), 4)
	}
}

func TestWatch_nothingBurned(t *testing.T) {
	w := NewWatch(job(bore.Helix), func(Sweep) { t.Error("told") })
	p := &pass.Pass{Number: 1, Layer: 1, TravelBasis: heat.TravelMeasured}
	w.Begin(p, pass.Position{})
	w.End(p)
	w.Finish()
	assert.Empty(t, w.Sweeps())
}
