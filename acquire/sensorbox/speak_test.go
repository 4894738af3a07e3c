package sensorbox

import (
	"context"
	"errors"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
)

// ear is a listener that writes down what it hears, without the samples' values.
type ear struct {
	heard []string
	taken [][2]int64 // samples: tick of the first, and number
	lost  bool
	fails string
}

func (e *ear) hear(format string, args ...any) error {
	text := fmt.Sprintf(format, args...)
	e.heard = append(e.heard, text)
	if text == e.fails {
		return errors.New(text)
	}
	return nil
}

func (e *ear) boot(epoch int, _ float64) error { return e.hear("boot %d", epoch) }
func (e *ear) hello(tick int64) error          { return e.hear("hello %d", tick) }
func (e *ear) lose(lost bool)                  { e.lost = lost }

func (e *ear) samples(tick int64, v, _ []int16, _ float64) error {
	e.taken = append(e.taken, [2]int64{tick, int64(len(v))})
	return nil
}

func (e *ear) slow(tick int64, channel uint8, _ float64) error {
	return e.hear("slow %d %d", channel, tick)
}

func (e *ear) turns(ticks, counts []int64, atMark bool) error {
	if atMark {
		return e.hear("turns %v %v at the mark", ticks, counts)
	}
	return e.hear("turns %v %v", ticks, counts)
}

// quiet is a run that has not begun to weld.
func quiet(p Plan) (*run, *ear) {
	e := &ear{}
	return newRun(p.withDefaults(), e, nil), e
}

// Ten seconds before the arc: a HELLO and the count every 5 s, the sensors at their
// pace, and a hundredth of a second of samples at a time; all on the clock of its
// own boot, whenever that was.
func TestRun_speaksAtItsPace(t *testing.T) {
	for _, booted := range []int64{0, 7_123_000_000} {
		p := ringPlan()
		p.Lead = 30
		r, e := quiet(p)
		r.since = booted
		require.NoError(t, r.boot())
		for r.since < booted+10_010_000_000 {
			require.NoError(t, errors.Join(r.control(), r.signal(), r.speak()))
		}
		var talk []string
		slow := map[int][]int{}
		for _, text := range e.heard {
			var channel, tick int
			if n, _ := fmt.Sscanf(text, "slow %d %d", &channel, &tick); n == 2 {
				slow[channel] = append(slow[channel], tick)
				continue
			}
			talk = append(talk, text)
		}
		assert.Equal(t, []string{
			"boot 0", "hello 0", "turns [1000000] [0]", "hello 5000000000", "turns [5001000000] [0]", "hello 10000000000", "turns [10001000000] [0]",
		}, talk)
		for channel, every := range map[int]int{wireSpeedChannel: 50e6, gasFlowChannel: 100e6, temperatureChannel: 500e6} {
			assert.Len(t, slow[channel], int(10e9/float64(every)))
			for k, tick := range slow[channel] {
				assert.Equal(t, (k+1)*every, tick)
			}
		}
		for k, s := range e.taken {
			assert.Equal(t, [2]int64{int64(k) * 10e6, 100}, s)
		}
		assert.Len(t, e.taken, 1001)
	}
}

// Slow rates have a sample at least in a frame, fast ones no more than 100.
func TestRun_samplesToAFrame(t *testing.T) {
	for rate, want := range map[quantity.Hertz]int{1000: 10, 5000: 50, 10_000: 100, 20_000: 100, 100_000: 100} {
		p := ringPlan()
		p.SampleRate = rate
		r, _ := quiet(p)
		assert.Equal(t, want, cap(r.v), "%g Hz", rate)
		assert.Equal(t, want, cap(r.i))
		assert.Equal(t, int(100_000/rate), r.sampleEvery)
	}
}

// Pulses go out once the first of them is 50 ms old, less the step that is under way.
func TestRun_gathersPulses(t *testing.T) {
	r, e := quiet(ringPlan())
	require.NoError(t, r.boot())
	r.nextHello, r.epochStart = 1e18, 1e9
	r.meters.due = [slowKinds]int64{1e18, 1e18, 1e18}
	r.meters.ticks, r.meters.counts = []int64{5e6}, []int64{1}
	r.since = 1e9 + 5e6 + 49e6 - 1
	require.NoError(t, r.speak())
	assert.Equal(t, []string{"boot 0"}, e.heard)
	r.since++
	require.NoError(t, r.speak())
	assert.Equal(t, []string{"boot 0", "turns [5000000] [1]"}, e.heard)
	require.NoError(t, r.speak())
	assert.Len(t, e.heard, 2, "there are none left")
	r.meters.ticks, r.meters.counts, e.fails = []int64{1}, []int64{2}, "turns [1] [2]"
	require.EqualError(t, r.speak(), e.fails)
	r.silent, r.nextHello = true, 0
	require.NoError(t, r.speak())
	assert.Len(t, e.heard, 3, "it is down")
}

// A code is 10 mV, or 0.1 A, and the end stop is at 320 V; the last digits scatter by
// less than one.
func TestRun_takesCodes(t *testing.T) {
	r, e := quiet(ringPlan())
	require.NoError(t, r.boot())
	r.arc.voltage, r.arc.through, r.epochStart = 20, 150, 1000
	r.since = 5000
	for range 99 {
		require.NoError(t, r.sample())
		assert.InDelta(t, 2000, r.v[len(r.v)-1], 1)
		assert.InDelta(t, 1500, r.i[len(r.i)-1], 1)
	}
	assert.Equal(t, int64(4000), r.first)
	assert.Empty(t, e.taken)
	r.arc.voltage = 500
	require.NoError(t, r.sample())
	assert.Equal(t, [][2]int64{{4000, 100}}, e.taken)
	require.NoError(t, r.flush())
	assert.Len(t, e.taken, 1, "nothing is left")
	require.NoError(t, r.sample())
	assert.InDelta(t, 32_000, r.v[0], 1)
	r.silent = true
	require.NoError(t, r.sample())
	assert.Len(t, r.v, 1)
}

// The last digit scatters by a triangle of 0.8 codes either way and is rounded: from
// 0.4 codes above a whole one, the next is taken by a scatter above 0.1, which has a
// share of (1 - 0.1/0.8)^2/2 = 0.3828, and no other.
func TestRun_scattersTheLastDigit(t *testing.T) {
	r, _ := quiet(ringPlan())
	require.NoError(t, r.boot())
	r.arc.voltage, r.arc.through = 20.004, 150.04
	const n = 20_000
	var volts, amperes float64
	for range n {
		r.v, r.i = r.v[:0], r.i[:0]
		require.NoError(t, r.sample())
		require.Contains(t, []int16{2000, 2001}, r.v[0])
		require.Contains(t, []int16{1500, 1501}, r.i[0])
		volts += float64(r.v[0]-2000) / n
		amperes += float64(r.i[0]-1500) / n
	}
	assert.InDelta(t, 0.3828, volts, 0.015)
	assert.InDelta(t, 0.3828, amperes, 0.015)
}

// 17.5 V at 140 A on a slope of 65.3 mohm is a line of 26.642 V; a fault adds to it.
func TestRun_setsTheSurroundings(t *testing.T) {
	p := ringPlan()
	r, _ := quiet(p)
	r.torch.phase = striking
	r.now = conditions{feed: 0.5, gas: 0.25, stubbing: 3, standoff: 11e-3, volts: 2}
	r.arc.voltage, r.arc.through = 20, 150
	r.surround()
	assert.InDelta(t, 28.642, r.arc.line, 1e-9)
	assert.Equal(t, [3]float64{11e-3, 3, 0.75}, [3]float64{r.arc.standoff, r.arc.stubbing, r.arc.gasless})
	assert.InDelta(t, 5.5/60/2, r.arc.feedTarget, 1e-12)
	assert.True(t, r.arc.sourceOn)
	assert.InDelta(t, 15*0.25/30, r.meters.gas, 1e-9)
	assert.InDelta(t, 20+0.8*3000/30e3*1e-3, r.meters.temperature, 1e-9)
	// An arc-out takes the source off a burning arc at once, and not from a short.
	for contact, on := range map[contact]bool{burning: false, draining: true} {
		r.arc.sourceOn, r.arc.contact, r.now.arcOut = true, contact, true
		r.surround()
		assert.Equal(t, on, r.arc.sourceOn)
		assert.Zero(t, r.arc.feedTarget)
	}
	r.now.arcOut, r.now.halted = false, true
	r.surround()
	assert.Zero(t, r.arc.feedTarget, "halted")
}

// What goes wrong with the listener or the context ends the run at once.
func TestRun_ends(t *testing.T) {
	for _, fails := range []string{"boot 0", "hello 0", "turns [1000000] [0]", "slow 2 50000000"} {
		r, e := quiet(ringPlan())
		e.fails = fails
		_, err := r.all(t.Context())
		require.EqualError(t, err, fails)
		assert.Equal(t, fails, e.heard[len(e.heard)-1])
	}
	p := shortRun()
	p.Faults = []Fault{{Kind: Reboot, Turn: 1, From: 9, Duration: 1}}
	r, e := quiet(p)
	e.fails = "boot 1"
	_, err := r.all(t.Context())
	require.EqualError(t, err, "boot 1")

	r, _ = quiet(ringPlan())
	assert.Equal(t, int64(300e6), r.ledger.hold)
	stopped := errors.New("stopped")
	steps := 0
	r.pace = func(since int64) error {
		if steps++; steps < 3 {
			assert.Equal(t, int64(steps)*1e6, since)
			return nil
		}
		return stopped
	}
	_, err = r.all(t.Context())
	require.ErrorIs(t, err, stopped)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	r, _ = quiet(ringPlan())
	_, err = r.all(ctx)
	require.ErrorIs(t, err, context.Canceled)
}

// The box is silent while it is down. A fault that lasts to the end of the run ends
// with it.
func TestRun_faultsInTheTruth(t *testing.T) {
	p := shortRun()
	p.Faults = []Fault{{Kind: Reboot, Turn: 1, From: 90, Duration: 1}, {Kind: WireSlip, Turn: 1, From: 180, Duration: 3600}}
	e := &ear{}
	truth, err := newRun(p.withDefaults(), e, nil).all(t.Context())
	require.NoError(t, err)
	require.Len(t, truth.Faults, 2)
	reboot, slip := truth.Faults[0], truth.Faults[1]
	assert.InDelta(t, 1, float64(reboot.Duration), 1e-3)
	assert.Equal(t, reboot.End.Since, reboot.Start.Since+int64(float64(reboot.Duration)*1e9+0.5))
	assert.Equal(t, truth.End, slip.End)
	assert.InDelta(t, float64(slip.End.Since-slip.Start.Since)/1e9, float64(slip.Duration), 1e-9)
	assert.Equal(t, 1, truth.End.Epoch)
	assert.Equal(t, truth.End.Since-reboot.End.Since, truth.End.Tick)
	assert.Contains(t, e.heard, "boot 1")
	last := e.taken[len(e.taken)-1]
	assert.Equal(t, truth.End.Tick, last[0]+last[1]*100_000, "the last samples are handed over")
}

// An interruption opens the next pass once its time is over, and once only.
func TestRun_interruptionGoesOnOnce(t *testing.T) {
	p := shortRun()
	p.Faults = []Fault{{Kind: Interruption, Turn: 1, From: 90, Duration: 15}}
	truth, err := newRun(p.withDefaults(), &ear{}, nil).all(t.Context())
	require.NoError(t, err)
	require.Len(t, truth.Passes, 2)
	assert.Equal(t, 1, truth.Passes[1].Resumes)
	assert.GreaterOrEqual(t, truth.Passes[1].Start.Since, truth.Faults[0].Start.Since+int64(15e9))
}
