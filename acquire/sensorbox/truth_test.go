package sensorbox

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
)

// Thresholds of a record's reader: from 15 A and 8 V on an arc burns, and while
// current flows it goes on (design, "arc interval").
const (
	readerCurrent = 15.0
	readerVoltage = 8.0
)

// arcOf sums up what a record says of one stretch of time, as a reader of the
// record would: energy by the trapezoid over steps whose two ends are in arc.
func arcOf(all []sample) (energy, seconds float64, intervals [][2]int64) {
	on := false
	for k, s := range all {
		was := on
		on = s.i >= readerCurrent && (on || s.v >= readerVoltage)
		if was && on && !s.brk {
			dt := float64(s.tick-all[k-1].tick) / 1e9
			energy += dt * (s.v*s.i + all[k-1].v*all[k-1].i) / 2
			seconds += dt
		}
		if on && !was {
			intervals = append(intervals, [2]int64{s.tick, s.tick})
		}
		if on {
			intervals[len(intervals)-1][1] = s.tick
		}
	}
	return energy, seconds, intervals
}

func TestTruthAgreesWithRecord(t *testing.T) {
	if testing.Short() {
		t.Skip("it lays whole passes")
	}
	gapped := brisk()
	gapped.Layers = 2
	lost := brisk()
	lost.Faults = []Fault{
		{Kind: ArcOut, Turn: 1, From: 200, Duration: 0.1},
		{Kind: ArcOut, Turn: 2, From: 30, Duration: 1},
		{Kind: WireSlip, Turn: 2, From: 150, To: 200},
	}
	rings := brisk()
	rings.Pattern = Rings
	rings.RotationSpeed = -rings.RotationSpeed
	for name, p := range map[string]Plan{"helix with gap": gapped, "lost arcs": lost, "rings": rings} {
		t.Run(name, func(t *testing.T) {
			rec := record(t, p)
			require.Len(t, rec.truth.Passes, p.withDefaults().passes())
			for _, pass := range rec.truth.Passes {
				all := between(rec.samples, 0, pass.Start.Tick-1e6, pass.End.Tick+1e6)
				energy, seconds, found := arcOf(all)
				assert.InEpsilon(t, float64(pass.Energy), energy, 1e-3, "energy of pass %d", pass.Number)
				assert.InDelta(t, float64(pass.ArcTime), seconds, 2e-3*float64(len(found)), "arc time of pass %d", pass.Number)
				assertIntervals(t, pass.Arcs, joined(found, 300e6))
			}
		})
	}
}

// joined joins intervals that lie less than hold apart.
func joined(found [][2]int64, hold int64) [][2]int64 {
	out := found[:1]
	for _, f := range found[1:] {
		if last := &out[len(out)-1]; f[0]-last[1] < hold {
			last[1] = f[1]
		} else {
			out = append(out, f)
		}
	}
	return out
}

func assertIntervals(t *testing.T, want []Interval, got [][2]int64) {
	t.Helper()
	require.Len(t, got, len(want))
	for k, w := range want {
		assert.InDelta(t, w.Start.Tick, got[k][0], 1e6, "start of arc %d", k)
		assert.InDelta(t, w.End.Tick, got[k][1], 1e6, "end of arc %d", k)
	}
}

func TestArcOutAndHold(t *testing.T) {
	for _, c := range []struct {
		duration quantity.Seconds
		arcs     int
	}{{0.1, 3}, {0.2, 3}, {0.5, 4}, {2, 4}} {
		t.Run(fmt.Sprint(c.duration), func(t *testing.T) {
			p := brisk()
			p.Length = p.Pitch * 2
			p.Faults = []Fault{{Kind: ArcOut, Turn: 1, From: 200, Duration: c.duration}}
			truth := record(t, p).truth
			pass := truth.Passes[0]
			// Two turns with one gap each are three arcs without the fault.
			assert.Len(t, pass.Arcs, c.arcs)
			inside := 0.0
			for _, a := range pass.Arcs {
				inside += float64(a.End.Tick-a.Start.Tick) / 1e9
			}
			out := float64(c.duration)
			if c.arcs == 4 {
				out = 0
			}
			assert.InDelta(t, inside-out, float64(pass.ArcTime), 0.06, "a short arc-out is no arc time")
		})
	}
}

// TestGeometry holds the truth's geometry against the plan.
func TestGeometry(t *testing.T) {
	p := brisk()
	p.Layers = 2
	truth := record(t, p).truth
	first, second := truth.Passes[0], truth.Passes[1]
	assert.InDelta(t, 2, first.Turns, 1e-9)
	assert.InDelta(t, 2, second.Turns, 1e-9)
	assert.InDelta(t, 0, float64(first.Depth), 1e-12)
	assert.GreaterOrEqual(t, float64(second.Start.Tick-first.End.Tick)/1e9, 20.0, "pause between layers")

	// The torch's way with the arc on: 324 of 360 degrees, and a little where the
	// wire burns back and is struck anew.
	turn := math.Hypot(math.Pi*0.092, 0.003)
	assert.InEpsilon(t, 2*turn*0.9, float64(first.Path), 0.01)

	// BG-06 (check values, constructed): t = D/2 - sqrt(D^2/4 - A*D/p), with the
	// bead's section A from the wire that was really fed.
	area := depositShare * math.Pi / 4 * 0.9e-3 * 0.9e-3 * float64(first.WireFed) / (2 * 0.9 * math.Pi * 0.092)
	thickness := 0.092/2 - math.Sqrt(0.092*0.092/4-area*0.092/0.003)
	assert.InDelta(t, 0.092-2*thickness, float64(second.Diameter), 1e-5)

	assert.InEpsilon(t, 5.5/60*float64(first.ArcTime), float64(first.WireFed), 0.01, "wire")
}

func TestRingsStepOver(t *testing.T) {
	p := brisk()
	p.Pattern = Rings
	p.Length = 3.2 * p.Pitch
	p.StartAngle = 30
	truth := record(t, p).truth
	require.Len(t, truth.Passes, 3)
	for k, pass := range truth.Passes {
		assert.Equal(t, k+1, pass.Ring)
		assert.InDelta(t, float64(k)*0.003, float64(pass.Depth), 1e-12)
		assert.InDelta(t, 1, pass.Turns, 1e-9)
		if k > 0 {
			assert.InDelta(t, 3, float64(pass.Start.Tick-truth.Passes[k-1].End.Tick)/1e9, 0.2)
		}
	}
}

// TestCleanRunStaysInside lays the demo job's bead and asks for every half
// second of it to lie well inside the demo procedure's window.
func TestCleanRunStaysInside(t *testing.T) {
	if testing.Short() {
		t.Skip("it lays whole passes")
	}
	p := Demo()
	p.Length = 2 * p.Pitch
	for _, seed := range []uint64{1, 2} {
		p.Seed = seed
		p.Layers = 1
		rec := record(t, p)
		for _, pass := range rec.truth.Passes {
			for _, a := range pass.Arcs {
				for from := a.Start.Tick; from+500e6 <= a.End.Tick; from += 500e6 {
					v, i := means(between(rec.samples[sampleAt(rec, from):], 0, from, from+500e6))
					assert.True(t, v > 17.0 && v < 18.5, "%.2f V at %d ms", v, from/1e6)
					assert.True(t, i > 125 && i < 152, "%.1f A at %d ms", i, from/1e6)
				}
			}
		}
	}
}

// sampleAt returns the index of the first sample at or after a tick of epoch 0.
func sampleAt(rec recording, tick int64) int {
	return min(int((tick+99_999)/100_000), len(rec.samples))
}
