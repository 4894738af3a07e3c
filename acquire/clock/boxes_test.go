package clock_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/clock"
)

// far is a box at the other end of a link, and the host that reads it.
type far struct {
	ppm           float64
	least, jitter time.Duration // of the link, each way
	pings         bool
	random        *rand.Rand
	stalled       time.Duration // the host reads nothing until then
	tracker       clock.Tracker
	asked         time.Duration // when the next PING goes out
	newest        int64
}

// ticksAt is the clock of the box at a true time.
func (f *far) ticksAt(at time.Duration) int64 {
	return int64(7e9 + float64(at)*(1+f.ppm*1e-6))
}

// delay is how long the link takes, at any one time.
func (f *far) delay() time.Duration {
	return f.least + time.Duration(f.random.Int64N(int64(f.jitter)))
}

// read is what the host reads of what the box said at a true time: it stalls every 20 s
// on average for up to 0.8 s, and then reads all at once.
func (f *far) read(at time.Duration) {
	if f.random.IntN(2000) == 0 {
		f.stalled = at + time.Duration(f.random.Int64N(int64(maxStall)))
	}
	arrived := max(at+f.delay(), f.stalled)
	f.newest = f.ticksAt(at)
	f.tracker.Observe(0, f.newest, noon.Add(arrived))
	if !f.pings || at < f.asked {
		return
	}
	f.asked += time.Second
	heard := at + f.delay()
	f.tracker.Asked(0, f.ticksAt(heard), noon.Add(at))
}

// Two boxes whose clocks drift apart, on links of unlike delay, with stalls: the time
// between what the two tell scatters by less than 0.1 ms, and is right within what is
// said to be not known, with round trips and without.
func TestTwoBoxes(t *testing.T) {
	for _, jitter := range []time.Duration{time.Millisecond, 2 * time.Millisecond, 15 * time.Millisecond} {
		for pings := range 4 {
			t.Run(fmt.Sprintf("jitter %v, round trips %02b", jitter, pings), func(t *testing.T) {
				t.Parallel()
				worst, widest := 0.0, time.Duration(0)
				for seed := range uint64(6) {
					scatter, wide := twoBoxes(t, seed, jitter, pings)
					worst, widest = max(worst, scatter), max(widest, wide)
				}
				t.Logf("scatter %.4f ms at most; said to be known to +-%v", worst, widest)
				assert.Less(t, worst, 0.1, "ms")
				if pings == 3 {
					assert.Less(t, widest, 17*time.Millisecond+jitter, "half of each round trip")
				}
			})
		}
	}
}

// twoBoxes returns the scatter in ms of the time between two boxes after a minute, and
// what was said to be not known of it then.
func twoBoxes(t *testing.T, seed uint64, jitter time.Duration, pings int) (scatter float64, wide time.Duration) {
	a := &far{ppm: 50, least: time.Millisecond, jitter: jitter, pings: pings&1 != 0, random: rand.New(rand.NewPCG(seed, 1))}
	b := &far{ppm: -30, least: 16 * time.Millisecond, jitter: jitter, pings: pings&2 != 0, random: rand.New(rand.NewPCG(seed, 2))}
	var off []float64
	for at := time.Duration(0); at < 300*time.Second; at += 10 * time.Millisecond {
		a.read(at)
		b.read(at)
		if at < 10*time.Second || at%(100*time.Millisecond) != 0 {
			continue
		}
		of, on := fitOf(t, a), fitOf(t, b)
		// Both clocks were read at one moment: what the host makes of them should be one.
		apart := of.At(a.ticksAt(at)).Sub(on.At(b.ticksAt(at)))
		wide = lateness(a, of).Apart(lateness(b, on))
		require.LessOrEqual(t, apart.Abs(), wide, "after %v, seed %d", at, seed)
		if at >= time.Minute {
			off = append(off, milliseconds(apart))
		}
	}
	scatter, _ = spread(off)
	return scatter, wide
}

func fitOf(t *testing.T, f *far) clock.Fit {
	fit, ok := f.tracker.Fit()
	require.True(t, ok)
	return fit
}

func lateness(f *far, fit clock.Fit) clock.Lateness {
	if f.pings {
		return clock.Bounded(fit.Uncertainty)
	}
	return clock.Unbounded(921600)
}

// A ceramic resonator is 5000 ppm off, either way: the slope stops at what a clock can
// drift, what was seen is said, and the newest tick stands where it belongs all the same.
// What a short line shows is its jitter.
func TestTracker_saysWhatItStopsAt(t *testing.T) {
	for _, ppm := range []float64{5000, -5000, 600} {
		for seed := range uint64(4) {
			f := &far{ppm: ppm, least: time.Millisecond, jitter: 15 * time.Millisecond, random: rand.New(rand.NewPCG(seed, 3))}
			for at := time.Duration(0); at < 100*time.Second; at += 10 * time.Millisecond {
				f.read(at)
				if at%time.Second != 0 {
					continue
				}
				fit := fitOf(t, f)
				if at < 29*time.Second {
					require.Zero(t, fit.Fast(), "after %v", at)
				}
				if at < 40*time.Second {
					continue
				}
				require.InDelta(t, ppm, fit.Fast(), 30, "after %v", at)
				require.InDelta(t, 500e-6, math.Abs(fit.Slope-1), 1e-12)
				require.InDelta(t, 1, milliseconds(fit.Wall.Sub(noon.Add(at))), 0.5, "after %v", at)
			}
		}
	}
}

// A clock at its limit is not told of.
func TestTracker_saysNothingOfDrift(t *testing.T) {
	f := &far{ppm: -450, least: time.Millisecond, jitter: 15 * time.Millisecond, random: rand.New(rand.NewPCG(1, 3))}
	for at := time.Duration(0); at < 100*time.Second; at += 10 * time.Millisecond {
		f.read(at)
		require.Zero(t, fitOf(t, f).Seen)
	}
}

// By hand: three arrivals that are late by nothing, and an answer whose question was sent
// 4 ms before: the line is late by 0 to 4 ms, so that 2 ms are taken off, and left open.
func TestTracker_roundTripByHand(t *testing.T) {
	var tracker clock.Tracker
	for s := range 3 {
		tracker.Observe(1, int64(s)*1e9, noon.Add(time.Duration(s)*time.Second))
	}
	plain, _ := tracker.Fit()
	assert.Equal(t, noon.Add(2*time.Second), plain.Wall)
	assert.Zero(t, plain.Uncertainty, "not known")
	for _, no := range []struct {
		epoch int
		tick  int64
	}{{0, 2e9}, {2, 2e9}, {1, -1}} {
		tracker.Asked(no.epoch, no.tick, noon.Add(2*time.Second))
	}
	foreign, _ := tracker.Fit()
	assert.Equal(t, plain, foreign, "of another epoch, or before the first arrival")
	tracker.Asked(1, 2e9, noon.Add(1996*time.Millisecond))
	bounded, _ := tracker.Fit()
	assert.Equal(t, noon.Add(1998*time.Millisecond), bounded.Wall)
	assert.Equal(t, 4600*time.Microsecond, bounded.Uncertainty, "and 2.6 ms that a line of 2 s may bend")
	tracker.Observe(2, 0, noon.Add(3*time.Second))
	anew, _ := tracker.Fit()
	assert.Zero(t, anew.Uncertainty, "another epoch")
}

// An answer counts for as long as an arrival does.
func TestTracker_roundTripsGrowOld(t *testing.T) {
	var tracker clock.Tracker
	for s := range int64(200) {
		at := noon.Add(time.Duration(s) * time.Second)
		tracker.Observe(0, s*1e9, at)
		tracker.Asked(0, s*1e9, at.Add(-10*time.Millisecond))
		if s == 10 {
			tracker.Asked(0, s*1e9, at.Add(-time.Millisecond))
		}
		fit, _ := tracker.Fit()
		switch {
		case s >= 60 && s <= 130:
			require.InDelta(t, 0.5, milliseconds(fit.Uncertainty), 0.2, "after %d s", s)
		case s > 131:
			require.InDelta(t, 9.5, milliseconds(fit.Uncertainty), 4.7, "after %d s", s)
		}
	}
}

func TestLateness(t *testing.T) {
	ms := func(x float64) time.Duration { return time.Duration(x * 1e6) }
	slow, never := clock.Unbounded(9600), clock.Unbounded(115200)
	assert.Equal(t, 553500*time.Microsecond, slow.To, "16 ms, and 516 bytes at 960 a second")
	assert.Zero(t, slow.From)
	assert.Equal(t, never.To, never.Apart(never), "both are late, by unlike delays at worst")
	assert.Equal(t, slow.To, slow.Apart(never))
	assert.Equal(t, ms(3), clock.Bounded(ms(1)).Apart(clock.Bounded(ms(2))))
	assert.Equal(t, never.To+ms(2), never.Apart(clock.Bounded(ms(2))))
	assert.Equal(t, never.To+ms(2), clock.Bounded(ms(2)).Apart(never))
}
