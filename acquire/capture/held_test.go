package capture

import (
	"testing"

	"github.com/stretchr/testify/assert"
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
