package clock_test

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/clock"
)

var noon = time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)

// arrival is one read of a simulated link.
type arrival struct {
	tick     int64 // ns on the clock of the box
	taken    time.Time
	received time.Time
}

const (
	drift    = 50e-6 // the box runs fast
	minDelay = time.Millisecond
	maxDelay = 16 * time.Millisecond
	maxStall = 800 * time.Millisecond
)

// simulate is the link of sensor-link.md, "Clock": 50 ppm of drift, 1-16 ms of
// latency, and stalls of the host to 0.8 s, which hold back all that arrives in
// them. There is a read every 10 ms and a stall every 20 s on average.
func simulate(seconds int, seed uint64) []arrival {
	random := rand.New(rand.NewPCG(seed, 1))
	var all []arrival
	var stalledUntil time.Duration
	for k := range seconds * 100 {
		at := time.Duration(k) * 10 * time.Millisecond
		if random.IntN(2000) == 0 {
			stalledUntil = at + time.Duration(random.Int64N(int64(maxStall)))
		}
		received := at + minDelay + time.Duration(random.Int64N(int64(maxDelay-minDelay)))
		received = max(received, stalledUntil)
		all = append(all, arrival{
			tick:     int64(float64(at) * (1 + drift)),
			taken:    noon.Add(at),
			received: noon.Add(received),
		})
	}
	return all
}

// spread returns the standard deviation and the mean of errors in ms.
func spread(errors []float64) (deviation, mean float64) {
	for _, e := range errors {
		mean += e / float64(len(errors))
	}
	for _, e := range errors {
		deviation += (e - mean) * (e - mean) / float64(len(errors))
	}
	return math.Sqrt(deviation), mean
}

func milliseconds(d time.Duration) float64 { return float64(d) / float64(time.Millisecond) }

// The constant delay cannot be known, so the mean error is taken off first and
// checked on its own. sensor-link.md measured 0.026 ms RMS for the hull and
// 48 ms for the raw arrival with stalls of its own; those here are drawn anew.
func TestTracker_SimulatedLink(t *testing.T) {
	for seed := range uint64(3) {
		var tracker clock.Tracker
		var fitted, raw, all []float64
		for k, a := range simulate(600, seed) {
			tracker.Observe(0, a.tick, a.received)
			if k%10 != 0 {
				continue
			}
			fit, ok := tracker.Fit()
			require.True(t, ok)
			e := milliseconds(fit.Wall.Sub(a.taken))
			all = append(all, e)
			if a.taken.Sub(noon) < 60*time.Second {
				continue // a short history bounds the slope badly; it is tested below
			}
			fitted = append(fitted, e)
			raw = append(raw, milliseconds(a.received.Sub(a.taken)))
		}
		rms, mean := spread(fitted)
		rawRMS, _ := spread(raw)
		allRMS, _ := spread(all)
		t.Logf("seed %d: fit %.4f ms RMS after 60 s, %.4f ms from the start, mean %.3f ms; raw arrival %.1f ms RMS", seed, rms, allRMS, mean, rawRMS)
		assert.Less(t, rms, 0.1, "ms RMS of the fit")
		assert.Less(t, allRMS, 0.5, "ms RMS of the fit with its beginning")
		assert.Greater(t, rawRMS, 100*rms, "the raw arrival is far worse")
		assert.InDelta(t, milliseconds(minDelay), mean, 0.2, "the least delay stays in")
	}
}

func TestTracker_SlopeIsTheDrift(t *testing.T) {
	var tracker clock.Tracker
	for _, a := range simulate(200, 9) {
		tracker.Observe(0, a.tick, a.received)
	}
	fit, ok := tracker.Fit()
	require.True(t, ok)
	assert.InDelta(t, 1/(1+drift), fit.Slope, 2e-6)
}

func TestTracker_BeginsAnew(t *testing.T) {
	const second = int64(time.Second)
	at := func(s float64) time.Time { return noon.Add(time.Duration(s * float64(time.Second))) }
	for _, c := range []struct {
		id    string
		epoch int
		tick  int64
		anew  bool
	}{
		{"goes on", 0, 3 * second, false},
		{"a silence that is no gap", 0, 12 * second, false},
		{"new epoch", 1, 3 * second, true},
		{"the same tick again", 0, 2 * second, false},
		{"tick goes back", 0, 2*second - 1, true},
		{"gap", 0, 13 * second, true},
	} {
		t.Run(c.id, func(t *testing.T) {
			var tracker clock.Tracker
			// Two arrivals without delay, then one that is 5 s late: only a
			// fit that began anew believes it.
			tracker.Observe(0, 1*second, at(1))
			tracker.Observe(0, 2*second, at(2))
			late := noon.Add(time.Duration(c.tick)).Add(5 * time.Second)
			tracker.Observe(c.epoch, c.tick, late)
			fit, ok := tracker.Fit()
			require.True(t, ok)
			assert.Equal(t, c.epoch, fit.Epoch)
			assert.Equal(t, c.tick, fit.Tick)
			assert.Equal(t, late, fit.Arrival)
			if c.anew {
				assert.Equal(t, late, fit.Wall)
			} else {
				assert.InDelta(t, 0, fit.Wall.Sub(late).Seconds()+5, 0.01)
			}
		})
	}
}

func TestTracker_SlopeIsClamped(t *testing.T) {
	var tracker clock.Tracker
	for s := range 100 {
		// A host that runs 1 % fast: no quartz drifts so far.
		tracker.Observe(0, int64(s)*int64(time.Second), noon.Add(time.Duration(float64(s)*1.01*float64(time.Second))))
	}
	fit, ok := tracker.Fit()
	require.True(t, ok)
	assert.Equal(t, 1+500e-6, fit.Slope)
}

func TestTracker_NothingSeen(t *testing.T) {
	var tracker clock.Tracker
	_, ok := tracker.Fit()
	assert.False(t, ok)
}

// Ticks of captures are Unix ns: the fit must not lose digits to their size.
func TestTracker_LargeTicks(t *testing.T) {
	var tracker clock.Tracker
	first := noon.UnixNano()
	for k := range int64(1000) {
		step := k * int64(10*time.Millisecond)
		tracker.Observe(0, first+step, noon.Add(time.Duration(step)))
	}
	fit, ok := tracker.Fit()
	require.True(t, ok)
	assert.Equal(t, noon.Add(9990*time.Millisecond), fit.Wall)
	assert.Equal(t, noon.Add(9*time.Second), fit.At(first+9*int64(time.Second)))
}

func TestFit_At(t *testing.T) {
	fit := clock.Fit{Tick: 1e9, Wall: noon, Slope: 1 + 100e-6}
	assert.Equal(t, noon, fit.At(1e9))
	assert.Equal(t, noon.Add(10*time.Second+time.Millisecond), fit.At(11e9))
	assert.Equal(t, noon.Add(-time.Second-100*time.Microsecond), fit.At(0))
}
