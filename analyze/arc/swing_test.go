package arc

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

// A square in the plane of voltage and current, gone round once in 4 ms: from 20 V
// 100 A to 30 V, to 300 A, to 20 V, to 100 A. Samples are those four corners and the
// first again; powers of 3000, 9000, 6000 and 2000 W, mean 5000 W; 5000 W * 4 ms = 20 J.
//
//	loop    = 10 V * 200 A / 20 J                       = 100 /s
//	jumps   = 0, as one of the two stands still in every step
//	most    = 2 * 5 V * 100 A / 5000 W                  = 0.2
//	per ohm = (300^2 + 300^2 + 100^2 + 100^2)/4 / 5000  = 10 A/V
func TestSwing_byHand(t *testing.T) {
	d, _ := listen(limits, series.Source{})
	play(d, at(0, 20, 100), at(1, 30, 100), at(2, 30, 300), at(3, 20, 300), at(4, 20, 100))
	w := d.sums.Swing()
	require.InDelta(t, 100, w.Loop, 1e-9)
	require.Zero(t, w.Jumps)
	require.InDelta(t, 1e-3, w.Step, 1e-15)
	require.InDelta(t, 0.2, w.Most, 1e-12)
	require.InDelta(t, 10, w.PerOhm, 1e-12)
}

// Both rise together and fall together: no area, and four jumps of 10 V * 200 A in 4 ms
// of (2000 + 9000)/2 W, 22 J.
func TestSwing_jumps(t *testing.T) {
	d, _ := listen(limits, series.Source{})
	play(d, at(0, 20, 100), at(1, 30, 300), at(2, 20, 100), at(3, 30, 300), at(4, 20, 100))
	w := d.sums.Swing()
	require.InDelta(t, 0, w.Loop, 1e-9)
	require.InDelta(t, 4*2000/22.0, w.Jumps, 1e-9)

	// One falls while the other rises: 4 * 10 V * 200 A, in 20 V*300 A and 30 V*100 A of 18 J.
	d, _ = listen(limits, series.Source{})
	play(d, at(0, 20, 300), at(1, 30, 100), at(2, 20, 300), at(3, 30, 100), at(4, 20, 300))
	require.InDelta(t, 4*2000/18.0, d.sums.Swing().Jumps, 1e-9)
}

// What is looked at is the first tenth of every second of the clock; averages show
// nothing, nor does the step over a gap.
func TestSwing_looks(t *testing.T) {
	d, _ := listen(limits, series.Source{})
	require.Zero(t, d.sums.Swing(), "nothing was seen")
	for k := int64(200); k <= 900; k++ {
		play(d, burning(k))
	}
	require.Zero(t, d.sums.Swing())
	play(d, burning(1000), burning(1001))
	before := d.Sums()
	require.EqualValues(t, 1, before.swing.steps, "1000 still closes a bucket that is not looked at")
	play(d, burning(1010, Averaged), at(1020, 21, 100, Break), at(1021, 21, 100), burning(1023))
	w := d.Sums().Since(before)
	require.EqualValues(t, 3*ms, w.swing.ns, "1021 and 1023 alone follow a sample")
	require.EqualValues(t, 2, w.swing.steps)
	require.InDelta(t, 1.5e-3, w.Swing().Step, 1e-15)
	d.Restart(Sums{})
	require.Zero(t, d.sums.Swing())
}

// A cosine of both, the current later by a phase: the mean of their product is
//
//	p(d) = V*I + v*i/2*cos(phase + w*d)      which rises by -v*i/2*w*sin(phase) per second
//
// as a whole number of cycles is looked at.
func TestSwing_isTheSlopeOfTheProduct(t *testing.T) {
	for _, phase := range []float64{-2, -0.5, 0, 0.3, 1.5} {
		d, _ := listen(limits, series.Source{})
		const hertz, step = 100, 50_000 // 50 us
		for k := int64(0); k*step <= 80*ms; k++ {
			w := 2 * math.Pi * hertz * float64(k*step) * 1e-9
			play(d, Sample{Tick: k * step, V: 20 + 5*math.Cos(w), I: 150 + 100*math.Cos(w-phase)})
		}
		w := d.sums.Swing()
		power := 20*150 + 250*math.Cos(phase)
		require.InDelta(t, math.Abs(250*2*math.Pi*hertz*math.Sin(phase))/power, w.Loop, 0.002*250*2*math.Pi*hertz/power, "phase %g", phase)
		require.InDelta(t, 500/power, w.Most, 0.002)
	}
}

// The swing is the same to the bit, however the samples are divided.
func TestSwing_anyDivision(t *testing.T) {
	x := make([]Sample, 5000)
	for k := range x {
		x[k] = Sample{Tick: int64(k) * 200_000, V: 20 + 8*math.Sin(float64(k*k)), I: 150 + 90*math.Cos(float64(k))}
	}
	whole, _ := listen(limits, series.Source{})
	for rest := x; len(rest) > 0; rest = rest[whole.Take(rest):] {
		continue
	}
	single, _ := listen(limits, series.Source{})
	play(single, x...)
	require.Equal(t, whole.Sums(), single.Sums())
	require.NotZero(t, whole.Sums().swing.ns)
}
