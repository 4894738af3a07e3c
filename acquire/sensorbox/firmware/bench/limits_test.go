package bench_test

import (
	"bytes"
	"cmp"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/sensorbox/firmware/bench"
	"arctally/acquire/series"
)

// ramp rises by 100 V and 500 A in a second: a code tells when it was taken.
func ramp(seconds float64) bench.Signal {
	s := bench.Silence(seconds)
	for k := range s.V {
		s.V[k], s.A[k] = 100*float64(k)*bench.Step, 500*float64(k)*bench.Step
	}
	return s
}

// standsInTime wants every sample to have been on the pins at its tick, and those between
// two breaks to stand at equal steps.
func (r *recorded) standsInTime(t *testing.T) {
	t.Helper()
	start := r.seen.Zeros[0] / 1e6
	volts, amperes := 0.0, 0.0 // off, at the worst
	for _, s := range r.samples() {
		volts = max(volts, math.Abs(100*(start+s.tick)-s.v))
		amperes = max(amperes, math.Abs(500*(start+s.tick)-s.i))
	}
	require.Less(t, volts, 0.1)
	require.Less(t, amperes, 0.8)
	var before series.Block
	for k, b := range r.of(series.Arc) {
		if k > 0 && !b.Break {
			require.Equal(t, before.At(before.Len()), b.Tick)
		}
		before = b
	}
}

// A line that is too slow loses samples, and each loss is flagged: nothing that comes is
// wrong, or in the wrong place.
func TestOverrun_slowLine(t *testing.T) {
	r := record(t, bench.Script{Hex: bench.Build(t, "BAUD 500000", "BAUD 115200"), Arc: ramp(1), Until: 0.8e6})
	r.whole(t)
	assert.Greater(t, r.tally.Overruns, int64(20))
	assert.Less(t, r.tally.Samples, int64(2500), "the line carries less than half")
	t.Logf("%d samples came of 3970", r.tally.Samples)
	assert.Greater(t, r.tally.Samples, int64(1700))
	assert.Equal(t, int64(1), r.tally.Epochs)
	r.standsInTime(t)
}

// Windows that come faster than the line takes them are dropped, and how many samples is said;
// the wire that ran meanwhile is not lost.
func TestOverrun_sums(t *testing.T) {
	hex := bench.Build(t, "MODE SAMPLES", "MODE SUMS", "BAUD 500000", "BAUD 115200", "PER_WINDOW 32", "PER_WINDOW 10")
	pulses := wirePulses(nil, 0.05e6, 0.5e6, 1500)
	r := record(t, bench.Script{Hex: hex, Arc: ramp(1), Pins: pulses, Until: 0.6e6})
	r.whole(t)
	assert.Greater(t, r.tally.Overruns, int64(20))
	wire := uint32(0)
	windows := r.of(series.Sums)
	taken := windows[0].Tick
	for k, w := range windows {
		taken += int64(w.Sum.Dropped) * w.Step
		require.Equal(t, taken, w.Tick, "window %d stands behind all that was taken or dropped", k)
		taken += int64(w.Sum.Count) * w.Step
		wire += w.Sum.WireCount
	}
	assert.Equal(t, len(pulses)/2, int(wire))
}

// A sample that could not be taken in time is missing, and is flagged where it is: none
// stands in its place.
func TestOverrun_late(t *testing.T) {
	for name, changes := range map[string][]string{"samples": nil, "sums": {"MODE SAMPLES", "MODE SUMS"}} {
		t.Run(name, func(t *testing.T) {
			r := record(t, bench.Script{Hex: bench.Build(t, changes...), Arc: ramp(1), Until: 0.4e6, Stalls: []float64{0.1e6, 0.2e6 + 77, 0.3e6 + 155}})
			r.whole(t)
			assert.Equal(t, int64(3), r.tally.Overruns)
			r.standsInTime(t)
			dropped := uint32(0)
			for _, w := range r.of(series.Sums) {
				dropped += w.Sum.Dropped
			}
			if name == "sums" {
				assert.InDelta(t, 3*5, dropped, 3)
			}
		})
	}
}

// A storm of pulses on the inputs that count, as a strike may bring, holds nothing up.
func TestStormOfPulses(t *testing.T) {
	s := bench.Script{Hex: bench.Build(t), Arc: ramp(1), Until: 0.4e6}
	for at := 0.1e6; at < 0.2e6; at += 6 {
		for k, bit := range []int{bench.Wire, bench.TurnA} {
			s.Pins = append(s.Pins, bench.Pin{At: at + float64(k), Bit: bit}, bench.Pin{At: at + 3 + float64(k), Bit: bit, High: true})
		}
	}
	slices.SortStableFunc(s.Pins, func(a, b bench.Pin) int { return cmp.Compare(a.At, b.At) })
	r := record(t, s)
	r.whole(t)
	assert.Zero(t, r.tally.Overruns)
	assert.InDelta(t, 0.4*5000, r.tally.Samples, 100)
	r.isEven(t)
	r.standsInTime(t)
}

// Pulses come in the very moment of a sample, or of what the converter is to do next: the
// samples stand at equal steps all the same, and the third input waits until it is in
// nobody's way.
func TestPulses_inTheWrongMoment(t *testing.T) {
	for name, changes := range map[string][]string{"samples": nil, "sums": {"MODE SAMPLES", "MODE SUMS"}} {
		t.Run(name, func(t *testing.T) {
			s := bench.Script{Hex: bench.Build(t, changes...), Arc: ramp(1), Until: 20e3}
			s.Pins, s.Until = inTheWrongMoment(record(t, s).seen.Zeros[0]), 0.5e6
			r := record(t, s)
			r.whole(t)
			assert.Zero(t, r.tally.Overruns)
			r.isEven(t)
			r.standsInTime(t)
			least := 200.0 // us, that were left to the next sample
			for _, began := range r.seen.Thirds[1:] {
				least = min(least, 200-math.Mod(began-r.seen.Zeros[0], 200))
			}
			assert.Greater(t, len(r.seen.Thirds), 100)
			assert.Greater(t, least, 65.0)
		})
	}
}

// inTheWrongMoment has a pulse of the wire and an edge of the torch about each sample, or
// about the end of its pair.
func inTheWrongMoment(start float64) (pins []bench.Pin) {
	high := false
	for beat := range 2200 {
		phase := -10 + math.Mod(0.02*float64(beat), 12) // us
		if beat%3 == 1 {                                // so that either meets every beat of 16 and of 32
			phase = 105 + math.Mod(0.02*float64(beat), 20)
		}
		at := start + 10e3 + 200*float64(beat) + phase
		pins = append(pins, bench.Pin{At: at, Bit: bench.Wire}, bench.Pin{At: at + 0.5, Bit: bench.TurnA, High: high},
			bench.Pin{At: at + 50, Bit: bench.Wire, High: true})
		high = !high
	}
	return pins
}

// At its longest a HELLO has just its room.
func TestHello_longest(t *testing.T) {
	hex := bench.Build(t, `"arc box"`, `"`+strings.Repeat("n", 30)+`"`, `"0001"`, `"`+strings.Repeat("s", 16)+`"`)
	r := record(t, bench.Script{Hex: hex, Arc: bench.Silence(0.1), Until: 0.1e6})
	r.whole(t)
	require.NotEmpty(t, r.sources)
	assert.Equal(t, strings.Repeat("n", 30), r.sources[0].Name)
	assert.Equal(t, strings.Repeat("s", 16), r.sources[0].Serial)
	hello := bytes.IndexByte(r.bytes[1:], 0) // behind the first delimiter, up to the next
	assert.LessOrEqual(t, hello-3, 20+488+4, "bytes of its payload")
	assert.Greater(t, hello, 480)
}

// What is not fitted is not said, rather than said to be 0.
func TestHello_notFitted(t *testing.T) {
	for name, test := range map[string]struct {
		changes  []string
		channels []string
	}{
		"nothing": {[]string{"COUNTS_PER_TURN 3600", "COUNTS_PER_TURN 0", "COUNT 0.001", "COUNT 0.0", "(25.0 / 1024)", "0.0"}, nil},
		"no wire": {[]string{"COUNT 0.001", "COUNT 0.0"}, []string{"gas_flow"}},
	} {
		t.Run(name, func(t *testing.T) {
			r := record(t, bench.Script{Hex: bench.Build(t, test.changes...), Arc: bench.Silence(0.1), Third: 2, Until: 0.4e6})
			r.whole(t)
			s := r.sources[0]
			assert.Zero(t, s.WirePerCount)
			assert.Equal(t, name == "nothing", s.CountsPerTurn == 0)
			var channels []string
			for _, c := range s.Channels[2:] {
				channels = append(channels, c.Name)
			}
			assert.Equal(t, test.channels, channels)
			slow := 0
			for _, b := range r.of(series.Slow) {
				for k := range b.Value {
					slow++
					assert.Equal(t, "gas_flow", s.Channels[b.Channel[k]].Name)
					assert.InDelta(t, 10, b.Value[k], 0.02)
				}
			}
			assert.Equal(t, len(test.channels) > 0, slow > 0)
		})
	}
}

// A run without a zero may be longer than a code of COBS can say.
func TestFrames_longest(t *testing.T) {
	arc := bench.Silence(0.3)
	for k := range arc.V {
		arc.V[k], arc.A[k] = 40, 300 // codes of two bytes that are not zero
	}
	r := record(t, bench.Script{Hex: bench.Build(t, "PER_WINDOW 32", "PER_WINDOW 110", "WINDOWS 5", "WINDOWS 2"), Arc: arc, Until: 0.3e6})
	r.whole(t)
	require.Greater(t, r.tally.Samples, int64(1000))
	assert.Positive(t, bytes.Count(r.bytes, []byte{0xff}), "codes of full runs")
	for _, s := range r.samples() {
		require.InDelta(t, 40, s.v, 0.1)
		require.InDelta(t, 300, s.i, 0.8)
	}
}

// A stranger is to read it all.
func TestFirmware_isShort(t *testing.T) {
	lines := 0
	for _, pattern := range []string{"../*.c", "../*.h"} {
		files, err := filepath.Glob(pattern)
		require.NoError(t, err)
		for _, f := range files {
			text, err := os.ReadFile(f)
			require.NoError(t, err)
			lines += bytes.Count(text, []byte("\n"))
		}
	}
	t.Logf("%d lines", lines)
	assert.Less(t, lines, 400)
}
