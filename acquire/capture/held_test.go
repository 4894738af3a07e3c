package capture

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"

	"arctally/acquire/series"
)

// TestHeldWithoutFlag tries the estimate of refresh interval and holds on
// sources that differ in one thing each.
func TestHeldWithoutFlag(t *testing.T) {
	for _, c := range []struct {
		id        string
		change    func(*logger)
		refresh   float64 // s; 0: with every message
		tolerance float64 // of arc time; the ends of each arc fall between two refreshes
	}{
		{"as built", func(*logger) {}, 0.3, 0.02},
		{"steadier arc, one refresh in twenty repeats", func(g *logger) { g.vNoise, g.iNoise = 0.1, 2 }, 0.3, 0.02},
		{"steady arc, one refresh in ten repeats", func(g *logger) { g.vNoise, g.iNoise = 0.06, 1 }, 0.3, 0.02},
		{"pauses of two seconds", func(g *logger) { g.arcs = beads(g.duration, 1.7, 3.1, 2.05) }, 0.3, 0.02},
		{"pauses of a second", func(g *logger) { g.arcs = beads(g.duration, 1.7, 3.1, 1.03) }, 0.3, 0.02},
		{"five refreshes in an arc", func(g *logger) { g.arcs = beads(g.duration, 1.7, 1.5, 4.03) }, 0.3, 0.02},
		{"half a minute", func(g *logger) { g.duration, g.arcs = 30, beads(30, 2.2, 7.7, 5) }, 0.3, 0.02},
		{"refreshed every 0.1 s", func(g *logger) { g.refresh = 0.1 }, 0.1, 0.02},
		{"refreshed every second", func(g *logger) { g.refresh = 1 }, 1, 0.02},
		{"a refresh that wanders", func(g *logger) { g.wander = 0.1 }, 0.3, 0.02},
		{"voltage and current in turn", func(g *logger) { g.apart = true }, 0.3, 0.02},
		{"messages that jitter by half their interval", func(g *logger) { g.jitter = 0.9 }, 0.3, 0.02},
		{"one arc in ten", func(g *logger) { g.arcs = beads(g.duration, 20, 8, 70) }, 0.3, 0.02},
		{"refreshed anew as the arc is struck", func(g *logger) { g.restart, g.arcs = true, uneven(g.duration) }, 0.3, 0.02},
		{"zero while the arc is off", func(g *logger) { g.idleZero = true }, 0.3, 0.02},
		{"42 Hz, held, values change with each message", func(g *logger) { g.rate, g.refresh = 42, 0 }, 0, 0.01},
		{"42 Hz, never held, values repeat", func(g *logger) {
			g.rate, g.refresh, g.idleZero, g.vNoise, g.iNoise = 42, 0, true, 0.05, 0.7
		}, 0, 0.01},
	} {
		t.Run(c.id, func(t *testing.T) {
			g := steady()
			c.change(&g)
			m, s := read(t, shapeA(g.readings(), true, false), Options{})
			if c.refresh == 0 {
				assert.Zero(t, s.Refresh)
			} else {
				assert.InEpsilon(t, c.refresh, s.Refresh.Seconds(), refreshTolerance)
			}
			if g.idleZero && c.refresh == 0 {
				assert.Zero(t, s.HeldAfter, "a chance repeat is not a hold")
			}
			arc, _ := m.arc()
			assert.InEpsilon(t, g.arcTime(), arc, c.tolerance)
		})
	}
}

// uneven returns arcs and pauses of many lengths.
func uneven(duration float64) (arcs [][2]float64) {
	for k, at := 0, 1.7; at < duration-10; k++ {
		on, off := 2.5+0.37*float64(k%7), 1.6+0.41*float64(k%5)
		arcs = append(arcs, [2]float64{at, at + on})
		at += on + off
	}
	return arcs
}

func TestNothingEverChanges(t *testing.T) {
	g := steady()
	g.arcs = nil
	m, s := read(t, shapeA(g.readings(), true, false), Options{})
	assert.Zero(t, s.HeldAfter)
	assert.Zero(t, s.Refresh)
	assert.Contains(t, remarks(m), "voltage and current never change: whether they are held cannot be told")
}

// TestFastSourceHeld holds 3000 samples of a 10 kHz source.
func TestFastSourceHeld(t *testing.T) {
	g := steady()
	g.duration, g.rate, g.refresh, g.jitter = 4, 10000, 0, 0
	g.volts, g.amperes, g.arcs = 0.01, 0.1, [][2]float64{{0, 1.5}, {1.8, 4}}
	m, s := read(t, shapeA(g.readings(), true, false), Options{})
	assert.Zero(t, s.Refresh)
	assert.NotZero(t, s.HeldAfter)
	arc, _ := m.arc()
	assert.InEpsilon(t, g.arcTime(), arc, 0.001)
}

// Between chance and proof lies what may be held.
func TestHeldOrSteady(t *testing.T) {
	g := steady()
	g.vNoise, g.iNoise = 0.06, 1
	_, s := read(t, shapeA(g.readings(), true, false), Options{})
	assert.NotZero(t, s.MayBeHeldAfter)
	assert.Greater(t, s.HeldAfter, s.MayBeHeldAfter)
}

// A source that shows its arcs go out as they do holds none of its values, however
// steady its arc is; one that does not may.
func TestShowsEnds(t *testing.T) {
	for _, c := range []struct {
		ends []int64 // ns that values had stood still
		long int     // standstills longer than chance
		want bool
	}{{[]int64{5, 7}, 1, true}, {[]int64{5, 7}, 2, false}, {[]int64{5, 7, 2000}, 1, false}, {nil, 0, false}} {
		m := newMeasure(&plan{voltage: column{factor: one}, current: column{factor: one}})
		for _, e := range c.ends {
			m.ends.add(e)
		}
		for range c.long {
			m.both.runs.add(5000)
		}
		assert.Equal(t, c.want, m.showsEnds(1000), c)
	}
}

// arcAt writes a capture with a row each step of ns, of what values gives for its time in s.
func arcAt(step int64, seconds float64, values func(at float64, k int) (v, i float64)) []byte {
	var b bytes.Buffer
	b.WriteString("time,voltage,current\n")
	for k := range int(seconds * 1e9 / float64(step)) {
		at := int64(k) * step
		v, i := values(float64(at)/1e9, k)
		fmt.Fprintf(&b, "%d.%09d,%.1f,%.0f\n", 1000+at/1e9, at%1e9, v, i)
	}
	return b.Bytes()
}

// square is a wave of two exact levels.
func square(hertz, share float64) func(float64, int) (float64, float64) {
	return func(at float64, _ int) (float64, float64) {
		if math.Mod(at*hertz, 1) < share {
			return 30.1, 300
		}
		return 19.3, 60
	}
}

// Two exact levels that come back in turn are a wave, however long each of them stands;
// few values of a display that is slow are none.
func TestWaveOfTwoLevels(t *testing.T) {
	for name, wave := range map[string]func(float64, int) (float64, float64){
		"100 Hz": square(100, 0.5), "100 Hz, a third": square(100, 1./3), "60 Hz": square(60, 0.4), "7 Hz": square(7, 0.5), "1 kHz": square(1000, 0.5),
	} {
		t.Run(name, func(t *testing.T) {
			_, s := read(t, arcAt(100_000, 6, wave), Options{})
			assert.Equal(t, series.Instantaneous, s.Basis)
			assert.Zero(t, s.Refresh)
			assert.Zero(t, s.HeldAfter)
		})
	}
	random := rand.New(rand.NewPCG(1, 2))
	v := 18.2
	_, s := read(t, arcAt(100_000, 60, func(_ float64, k int) (float64, float64) {
		if k%3000 == 0 {
			v = 18.2 + 0.1*float64(random.IntN(3))
		}
		return v, 140
	}), Options{})
	assert.Equal(t, series.Average, s.Basis, "three values every 0.3 s")
	assert.InEpsilon(t, 0.3, s.Refresh.Seconds(), 0.05)
}

// A signal beyond its converter stands still without being held: both ends are shown.
func TestSignalAtTheEndOfItsRange(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 2))
	_, s := read(t, arcAt(100_000, 8, func(at float64, _ int) (float64, float64) {
		swell := 1.6 * math.Sin(2*math.Pi*at/2) // beyond the range for 0.6 s of 2 s
		return min(24+8*swell+0.2*random.NormFloat64(), 30), min(240+100*swell+3*random.NormFloat64(), 300)
	}), Options{})
	assert.Zero(t, s.HeldAfter)
	assert.NotZero(t, s.MayBeHeldAfter)
	assert.Equal(t, series.Instantaneous, s.Basis)
}

// The chance that a look repeats a value falls with the scatter, from certainty on.
func TestRepeats(t *testing.T) {
	assert.Equal(t, 1.0, repeats(0))
	assert.Equal(t, 1.0, repeats(0.74))
	assert.InDelta(t, 0.5164, repeats(1), 1e-3, "half of that scatters by 0.5: 0.683^2 + 2*0.157^2")
	assert.InDelta(t, 0.1410, repeats(4), 2e-3, "1/(2*sqrt(pi)*2)")
	assert.InEpsilon(t, repeats(2*farSteps-0.001), repeats(2*farSteps+0.001), 1e-3)
}

// Scatter is in steps of the display, whatever the unit and stray digits.
func TestScatter(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 2))
	for _, c := range []struct{ step, sigma, dither, want, delta float64 }{
		{0.1, 0.35, 0, 3.3, 0.4}, {1, 6, 0, 5.7, 0.6}, {0.1, 0.35, 1e-6, 3.3, 0.4}, {0.1, 0.01, 0, 0, 0},
	} {
		var s scatter
		last := 0.0
		for range 3000 {
			x := math.Round((18.21+c.sigma*random.NormFloat64())/c.step)*c.step + c.dither*random.Float64()
			s.add(math.Abs(x - last))
			last = x
		}
		assert.InDelta(t, c.want, s.steps(), c.delta, c)
	}
	var flips scatter
	for range 100 {
		flips.add(0.1)
	}
	assert.InDelta(t, math.Sqrt(0.5), flips.steps(), 1e-9, "to and fro: below what is taken for fine")
	assert.Zero(t, new(scatter).steps())
}
