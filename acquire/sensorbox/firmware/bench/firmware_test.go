// Package bench_test has the firmware of the sensor box at work, on an emulated
// processor with an arc on its pins, and the recorder at the other end of its line.
package bench_test

import (
	"cmp"
	"math"
	"os"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/sensorbox/firmware/bench"
	"arctally/acquire/series"
)

// How close a box must come to what was on its pins.
const (
	energyTolerance = 1e-3
	tickTolerance   = 40e-6 // s: by so much interrupts that come together may make a sample, or a count, late
)

// arcScript is a dipping arc from 0.2 s to 0.2 s before the end.
func arcScript(hex string, seconds float64) bench.Script {
	return bench.Script{
		Hex: hex, Arc: bench.Silence(seconds).Dipping(0.2, seconds-0.2, 7).Filtered(), Third: 2, Until: seconds * 1e6,
	}
}

func TestSamples(t *testing.T) {
	seconds := 6.0 // a second HELLO comes after five
	if long := os.Getenv("ARCTALLY_FIRMWARE_SECONDS"); long != "" {
		var err error
		seconds, err = strconv.ParseFloat(long, 64)
		require.NoError(t, err)
	}
	s := arcScript(bench.Build(t), seconds)
	s.Third, s.Rise = 1, 3/seconds
	torch := shaft{now: 0.5e6}
	torch.turn(int((seconds-1)*1e6/5000), 5000) // 100 counts a second
	s.Pins = append(wirePulses(wirePulses(nil, 1e6, 3e6, 1e4), 4.5e6, 5.5e6, 2e4), torch.pins...)
	slices.SortStableFunc(s.Pins, func(a, b bench.Pin) int { return cmp.Compare(a.At, b.At) })
	r := record(t, s)
	r.whole(t)
	assert.Equal(t, 500000, r.seen.Baud)
	assert.Greater(t, r.seen.Free, 100, "bytes between the stack and what is below")
	assert.Zero(t, r.tally.Overruns+r.tally.Clipped)
	all := r.samples()
	start := r.seen.Zeros[0] / 1e6
	require.InDelta(t, seconds, start+all[len(all)-1].tick, 0.02, "to the end")
	r.isEven(t)
	truth := s.Arc.Energy(0, seconds)
	got := energy(all)
	t.Logf("%d samples, energy off by %.4f %% of %.0f J", len(all), 100*(got/truth-1), truth)
	assert.InEpsilon(t, truth, got, energyTolerance)
	said := r.turns()
	assert.Equal(t, torch.edges[len(torch.edges)-1].count, said[len(said)-1].count)
	r.describesItself(t)
	r.slowChannels(t, s)
	assert.Equal(t, 1+int((seconds-0.1)/5), r.hellos(t), "at the start, and each 5 s on the clock of the box")
}

// isEven wants a sample each 200 us from the first to the last, taken at its tick.
func (r *recorded) isEven(t *testing.T) {
	t.Helper()
	apart, late := 0.0, 0.0 // s, at the worst
	all, start := r.samples(), r.seen.Zeros[0]/1e6
	for k, sample := range all {
		require.False(t, sample.fresh, "sample %d", k)
		apart = max(apart, math.Abs(200e-6*float64(k)-(sample.tick-all[0].tick)))
		late = max(late, math.Abs(r.seen.Taken[2*k].At/1e6-(start+sample.tick)))
	}
	t.Logf("a sample is taken %.1f us behind its tick, at the worst", late*1e6)
	assert.Less(t, apart, 1e-9, "a gap between two samples")
	assert.Less(t, late, tickTolerance)
}

// describesItself wants a HELLO that says what the box is, and does, by what the emulator saw.
func (r *recorded) describesItself(t *testing.T) {
	t.Helper()
	require.Len(t, r.sources, 1, "every HELLO says the same")
	s := r.sources[0]
	assert.Equal(t, "0001", s.Serial)
	assert.InDelta(t, 3600, s.CountsPerTurn, 0)
	assert.InDelta(t, 1e-3, s.WirePerCount, 1e-9)
	assert.Equal(t, series.Stated{Value: 50, Known: true}, s.ClockDeviation)
	require.Len(t, s.Channels, 4)
	for _, c := range s.Channels[:2] {
		assert.Equal(t, series.Instantaneous, c.Basis)
		assert.Equal(t, 10, c.Bits)
		assert.InDelta(t, 2500, c.Bandwidth, 0)
	}
	assert.Equal(t, "torch", s.Channels[0].Tap)
	assert.Equal(t, "gas_flow", s.Channels[3].Name)
	assert.True(t, s.SkewAlternates)
	require.True(t, s.Skew.Known)
	mean, worst, pairs := 0.0, 0.0, 0.0 // us
	for k := 0; k+3 < len(r.seen.Taken); k += 2 {
		a, b, next := r.seen.Taken[k], r.seen.Taken[k+1], r.seen.Taken[k+2]
		require.True(t, a.Input != b.Input && b.Input == next.Input, "the order alternates")
		mean, pairs = mean+b.At-a.At, pairs+1
		worst = max(worst, math.Abs(b.At-a.At-s.Skew.Value))
	}
	t.Logf("from one of a pair to the other %.1f us, said are %.0f us, at the worst %.1f us beside", mean/pairs, s.Skew.Value, worst)
	assert.InDelta(t, s.Skew.Value, mean/pairs, 3)
	assert.Less(t, worst, 20.0)
}

// wirePulses adds pulses of the wire from one time in us to another.
func wirePulses(pins []bench.Pin, from, to, each float64) []bench.Pin {
	for at := from; at < to; at += each {
		pins = append(pins, bench.Pin{At: at, Bit: bench.Wire}, bench.Pin{At: at + min(500, each/2), Bit: bench.Wire, High: true})
	}
	return pins
}

// slowChannels wants the wire's speed of TestSamples, 0 only once it has stood for a
// second, and the third input.
func (r *recorded) slowChannels(t *testing.T, s bench.Script) {
	t.Helper()
	speeds := map[float64]int{}
	for _, b := range r.of(series.Slow) {
		for k, channel := range b.Channel {
			at := float64(b.At(k))/1e3 + r.seen.Zeros[0]
			if channel == 3 {
				middle := at/1e6 - 0.05 // s, of what the mean is over
				assert.InDelta(t, (s.Third+s.Rise*middle)*25/5, b.Value[k], 0.03, "L/min at %.0f us", at)
				continue
			}
			switch speed := math.Round(b.Value[k]*1e4) / 1e4; {
			case at > 1.1e6 && at < 3.2e6:
				assert.InDelta(t, 0.1, speed, 0, "m/s at %.0f us", at)
				speeds[speed]++
			case at > 4.6e6 && at < 5.7e6:
				assert.InDelta(t, 0.05, speed, 0, "m/s at %.0f us", at)
				speeds[speed]++
			default:
				assert.True(t, at < 1e6 || at > 3.9e6 && at < 4.6e6 || at > 6.4e6, "nothing is known at %.0f us", at)
				assert.Zero(t, speed)
				speeds[0]++
			}
		}
	}
	assert.Greater(t, speeds[0.1], 17, "a tenth of a second apart")
	assert.Greater(t, speeds[0.05], 7)
	assert.Greater(t, speeds[0], 11)
}

// Sums are those of all samples, so that they say the true mean power over a slow line.
func TestSums(t *testing.T) {
	const seconds = 3
	s := arcScript(bench.Build(t, "MODE SAMPLES", "MODE SUMS", "BAUD 500000", "BAUD 115200", "PER_WINDOW 32", "PER_WINDOW 100"), seconds)
	s.Pins = wirePulses(nil, 0.1e6, 2.8e6, 4e3)
	r := record(t, s)
	r.whole(t)
	assert.Equal(t, 117647, r.seen.Baud, "16 MHz gives no better")
	assert.Zero(t, r.tally.Overruns+r.tally.Clipped)
	var joules, arcTime float64
	var pulses, samples uint32
	windows := r.of(series.Sums)
	for k, b := range windows {
		if k > 0 {
			before := windows[k-1]
			require.Equal(t, before.Tick+int64(before.Sum.Count)*before.Step, b.Tick, "window %d begins where the one before ends", k)
		}
		require.Equal(t, uint32(100), b.Sum.Count)
		joules += power(r.sources[0], b.Sum) * float64(b.Step) / 1e9
		arcTime += float64(b.Sum.ArcOn) * float64(b.Step) / 1e9
		pulses += b.Sum.WireCount
		samples += b.Sum.Count
	}
	assert.InDelta(t, seconds*5000, samples, 300)
	assert.Equal(t, len(s.Pins)/2, int(pulses))
	assert.InDelta(t, seconds-0.4, arcTime, 2e-3)
	truth := s.Arc.Energy(0, seconds)
	t.Logf("%d windows, energy off by %.4f %% of %.0f J", len(windows), 100*(joules/truth-1), truth)
	assert.InEpsilon(t, truth, joules, energyTolerance)
}

// power sums the products of a window, in V*A.
func power(s series.Source, w series.WindowSums) float64 {
	v, i := s.Channels[series.VoltageChannel], s.Channels[series.CurrentChannel]
	return v.Scale*i.Scale*float64(w.VI) + v.Scale*i.Offset*float64(w.V) + v.Offset*i.Scale*float64(w.I) + v.Offset*i.Offset*float64(w.Count)
}

// A reset in the middle of a frame costs that frame, and what the box does not see while
// it starts; all the rest is right, and stands in epochs of its own.
func TestResets(t *testing.T) {
	const seconds = 2.5
	s := arcScript(bench.Build(t), seconds)
	s.Resets = []float64{0.7e6 + 100, 1.0e6 + 2300, 1.5e6 + 5555}
	r := record(t, s)
	boots := r.boots(t)
	assert.Equal(t, []uint16{0, 1, 2, 3}, boots)
	assert.Equal(t, len(boots), r.hellos(t), "no HELLO is lost in what a reset cut short")
	assert.Zero(t, r.tally.Lost)
	assert.LessOrEqual(t, r.tally.Damaged, int64(len(s.Resets)), "at most one a reset")
	assert.Positive(t, r.tally.Damaged, "one at least was in the middle of a frame")
	assert.Equal(t, int64(4), r.tally.Epochs)
	all := r.samples()
	for epoch := range 4 {
		part := slices.DeleteFunc(slices.Clone(all), func(s sample) bool { return s.epoch != epoch })
		start := r.seen.Zeros[epoch] / 1e6
		from, to := start+part[0].tick, start+part[len(part)-1].tick
		truth, got := s.Arc.Energy(from, to), energy(part)
		t.Logf("epoch %d: %.3f to %.3f s, energy off by %.4f %% of %.0f J", epoch, from, to, 100*(got/truth-1), truth)
		assert.InEpsilon(t, truth, got, 2*energyTolerance, "its ends are in the arc, as wide as a step")
		if epoch > 0 {
			assert.Less(t, from-s.Resets[epoch-1]/1e6, 0.03, "s until it measures again")
		}
	}
}

// A channel at its end stop is flagged, and no frame beside.
func TestEndStops(t *testing.T) {
	arc := bench.Silence(0.6)
	for k := range arc.V {
		switch at := float64(k) * bench.Step; {
		case at > 0.2 && at < 0.22:
			arc.V[k] = 140 // above 130 V
		case at > 0.3 && at < 0.32:
			arc.A[k] = -640
		case at > 0.4 && at < 0.42:
			arc.A[k] = 640
		case at > 0.5 && at < 0.52:
			arc.V[k] = -21
		case at > 0.55 && at < 0.57:
			arc.V[k], arc.A[k] = 129, 620 // nearly
		}
	}
	r := record(t, bench.Script{Hex: bench.Build(t), Arc: arc, Until: 0.6e6})
	r.whole(t)
	var clipped []float64
	for _, e := range r.events {
		if e.Kind == series.Clipped {
			clipped = append(clipped, math.Round(10*(float64(e.Tick)/1e9+r.seen.Zeros[0]/1e6))/10)
		}
	}
	assert.Equal(t, []float64{0.2, 0.3, 0.4, 0.5}, clipped)
}

// The number of the boot outlasts the power, and is another one however a start is cut short.
func TestBootNumber(t *testing.T) {
	s := bench.Script{Hex: bench.Build(t), EEPROM: t.TempDir() + "/eeprom", Arc: bench.Silence(0.1), Until: 0.1e6}
	for want := range uint16(2) {
		r := record(t, s)
		assert.Equal(t, []uint16{want}, r.boots(t))
		assert.LessOrEqual(t, r.seen.EEPROMWrites, 2, "bytes for each start")
	}
	s.EEPROM = fileOf(t, 0xff, 0x01)
	for at := 1e3; at < 12e3; at += 500 {
		s.Resets = append(s.Resets, at)
	}
	boots := record(t, s).boots(t)
	before := uint16(0x1ff)
	for _, boot := range boots {
		assert.NotEqual(t, before, boot)
		before = boot
	}
}
