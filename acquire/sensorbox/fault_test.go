package sensorbox

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
)

// window is the demo procedure's.
var window = map[string][2]float64{
	"voltage": {16.5, 19.0}, "current": {110, 160},
	"wire_speed": {4.5 / 60, 6.5 / 60}, "gas_flow": {12, 18},
}

// outOf returns for how long within [from, to] the mean over half a second of a
// channel lay outside its limits, and when that began.
func outOf(rec recording, channel string, from, to int64) (seconds float64, began int64) {
	limits := window[channel]
	const hop = 50e6
	for at := from; at+500e6 <= to; at += hop {
		mean := channelMean(rec, channel, at, at+500e6)
		if mean >= limits[0] && mean <= limits[1] {
			continue
		}
		if seconds == 0 {
			began = at
		}
		seconds += hop / 1e9
	}
	return seconds, began
}

func channelMean(rec recording, channel string, from, to int64) float64 {
	var v, i float64
	switch channel {
	case "voltage", "current":
		v, i = means(between(rec.samples[sampleAt(rec, from):sampleAt(rec, to)], 0, from, to))
	case "wire_speed":
		v, _ = means(between(rec.slow[wireSpeedChannel], 0, from, to))
	case "gas_flow":
		v, _ = means(between(rec.slow[gasFlowChannel], 0, from, to))
	}
	if channel == "current" {
		return i
	}
	return v
}

// TestFaultsShow switches on each fault that the record of one channel must
// show, for three seconds from 150 degrees of the first turn.
func TestFaultsShow(t *testing.T) {
	if testing.Short() {
		t.Skip("it lays whole passes")
	}
	for _, c := range []struct {
		kind     FaultKind
		amount   float64
		channels []string
	}{
		{GasLoss, 0, []string{"gas_flow"}},
		{WireSlip, 0, []string{"wire_speed", "current", "voltage"}},
		{StubbingTip, 0, []string{"voltage"}},
		{WrongVoltage, 3, []string{"voltage"}},
		{WrongVoltage, -4, []string{"voltage"}},
		{OffCentre, 4e-3, []string{"voltage"}},
	} {
		t.Run(fmt.Sprint(c.kind, c.amount), func(t *testing.T) {
			p := brisk()
			p.Faults = []Fault{{Kind: c.kind, Amount: c.amount, Turn: 1, From: 150, Duration: 3, Toward: 195}}
			rec := record(t, p)
			require.Len(t, rec.truth.Faults, 1)
			f := rec.truth.Faults[0]
			assert.InDelta(t, 150, float64(f.Angle), 0.1)
			assert.InDelta(t, 0.003*150/360, float64(f.Depth), 1e-5)
			assert.InDelta(t, 3, float64(f.Duration), 2e-3)
			for _, channel := range c.channels {
				before, _ := outOf(rec, channel, f.Start.Tick-900e6, f.Start.Tick)
				assert.Zero(t, before, "%s before", channel)
				seconds, began := outOf(rec, channel, f.Start.Tick-500e6, f.End.Tick)
				assert.Greater(t, seconds, 1.5, "%s: seconds outside", channel)
				if c.kind != OffCentre { // which comes with the angle, not at once
					assert.Less(t, float64(began+250e6-f.Start.Tick)/1e9, 0.35, "%s: middle of the first mean outside", channel)
				}
				after, _ := outOf(rec, channel, f.End.Tick+500e6, f.End.Tick+1500e6)
				assert.Zero(t, after, "%s after", channel)
			}
		})
	}
}

func TestStubbingLengthensShorts(t *testing.T) {
	p := brisk()
	p.Faults = []Fault{{Kind: StubbingTip, Turn: 1, From: 200, Duration: 4}}
	rec := record(t, p)
	f := rec.truth.Faults[0]
	longest := func(from, to int64) (steps int) {
		run := 0
		for _, s := range between(rec.samples, 0, from, to) {
			if run++; s.v >= shortBelow {
				run = 0
			}
			steps = max(steps, run)
		}
		return steps
	}
	clean, stubbed := longest(f.Start.Tick-2e9, f.Start.Tick), longest(f.Start.Tick, f.End.Tick)
	assert.Less(t, clean, 60, "0.1 ms steps")
	assert.Greater(t, stubbed, 90, "0.1 ms steps")
}

func TestGasLossUnsettlesTheArc(t *testing.T) {
	p := brisk()
	p.Faults = []Fault{{Kind: GasLoss, Turn: 1, From: 200, Duration: 4}}
	rec := record(t, p)
	f := rec.truth.Faults[0]
	high := func(from, to int64) float64 {
		var v []float64
		for _, s := range between(rec.samples, 0, from, to) {
			v = append(v, s.v)
		}
		slices.Sort(v)
		return v[len(v)*95/100]
	}
	assert.Greater(t, high(f.Start.Tick, f.End.Tick), high(f.Start.Tick-2e9, f.Start.Tick)+2, "95 % point of the voltage")
}

// harmonics returns the amplitudes of the current's first and second harmonic
// over the turn, in A.
func harmonics(rec recording, p Plan) (first, second float64) {
	pass := rec.truth.Passes[0]
	perNs := 360 * float64(p.RotationSpeed) / 1e9
	var re, im [3]float64
	all := between(rec.samples, 0, pass.Start.Tick, pass.Start.Tick+int64(720/perNs))
	for _, s := range all {
		angle := radians(float64(s.tick-pass.Start.Tick) * perNs)
		for h := range re {
			re[h] += s.i * math.Cos(float64(h)*angle)
			im[h] += s.i * math.Sin(float64(h)*angle)
		}
	}
	scale := 2 / float64(len(all))
	return scale * math.Hypot(re[1], im[1]), scale * math.Hypot(re[2], im[2])
}

func TestOffCentreAndOvalModulateTheCurrent(t *testing.T) {
	if testing.Short() {
		t.Skip("it lays whole passes")
	}
	p := brisk()
	p.Gaps = nil
	p.Faults = []Fault{{Kind: OffCentre, Amount: 1e-3, Toward: 40}}
	first, second := harmonics(record(t, p), p)
	assert.Greater(t, first, 4.0, "A once a turn")
	assert.Less(t, second, first/3)

	p.Faults = []Fault{{Kind: OvalBore, Amount: 3e-3, Toward: 40}}
	first, second = harmonics(record(t, p), p)
	assert.Greater(t, second, 3.0, "A twice a turn")
	assert.Less(t, first, second/3)
}

func TestOffCentreIsNearestTowardsItsDirection(t *testing.T) {
	p := brisk()
	p.Gaps = nil
	p.Faults = []Fault{{Kind: OffCentre, Amount: 1e-3, Toward: 90}}
	rec := record(t, p)
	quarter := int64(3e9) // 90 degrees at 5 rpm
	start := rec.truth.Passes[0].Start.Tick
	at := func(degrees int64) float64 {
		middle := start + quarter*degrees/90
		return channelMean(rec, "current", middle-500e6, middle+500e6)
	}
	assert.Greater(t, at(90), at(270)+8, "a shorter extension needs more current to melt")
}

func TestRotationDriftSlowsThePulses(t *testing.T) {
	p := brisk()
	p.Faults = []Fault{{Kind: RotationDrift, Amount: 0.5, Turn: 1, From: 150, To: 210}}
	rec := record(t, p)
	f := rec.truth.Faults[0]
	assert.InDelta(t, 60/15.0, float64(f.Duration), 0.01, "60 degrees at half of 30 degrees a second")
	first, last := turnAt(rec, f.Start.Tick), turnAt(rec, f.End.Tick)
	assert.InDelta(t, 150, first, 1)
	assert.InDelta(t, 210, last, 1)
	assert.InDelta(t, 2, rec.truth.Passes[0].Turns, 1e-9)
}

func turnAt(rec recording, tick int64) float64 {
	count := 0.0
	for _, s := range rec.turns {
		if s.tick <= tick {
			count = s.v
		}
	}
	return count
}

func TestLinkLossLeavesAGap(t *testing.T) {
	p := brisk()
	p.Faults = []Fault{{Kind: LinkLoss, Turn: 1, From: 150, Duration: 0.4}}
	rec := record(t, p)
	f := rec.truth.Faults[0]
	breaks := 0
	for k, s := range rec.samples[1:] {
		if !s.brk {
			assert.Equal(t, int64(100_000), s.tick-rec.samples[k].tick)
			continue
		}
		breaks++
		assert.InDelta(t, f.Start.Tick, rec.samples[k].tick, 10e6)
		assert.InDelta(t, f.End.Tick, s.tick, 10e6)
	}
	assert.Equal(t, 1, breaks)
}

func TestRebootBeginsAnEpoch(t *testing.T) {
	p := brisk()
	p.Faults = []Fault{{Kind: Reboot, Turn: 1, From: 150, Duration: 0.4}}
	rec := record(t, p)
	f := rec.truth.Faults[0]
	assert.Equal(t, 0, f.Start.Epoch)
	assert.Equal(t, Moment{Epoch: 1, Tick: 0, Since: f.End.Since}, f.End)
	assert.InDelta(t, 0.4, float64(f.Duration), 2e-3)
	assert.Equal(t, 1, rec.truth.Passes[0].End.Epoch, "the arc does not care")
	assert.InDelta(t, 2, rec.truth.Passes[0].Turns, 1e-9)

	second := slices.IndexFunc(rec.samples, func(s sample) bool { return s.epoch == 1 })
	require.Positive(t, second)
	assert.Equal(t, sample{tick: 0, epoch: 1, brk: true, v: rec.samples[second].v, i: rec.samples[second].i}, rec.samples[second])
	assert.InDelta(t, f.Start.Tick, rec.samples[second-1].tick, 11e6)
	last := rec.turns[len(rec.turns)-1]
	assert.InDelta(t, 720-150-0.4*30, last.v, 1, "turn counts begin at zero with the boot")
	for _, s := range rec.slow[wireSpeedChannel] {
		assert.Less(t, s.v, 0.11, "no burst of wire after the reboot")
	}
}

func TestFaultOfEveryPass(t *testing.T) {
	p := brisk()
	p.Pattern = Rings
	p.Faults = []Fault{
		{Kind: GasLoss, Turn: 1, From: 200, To: 230},
		{Kind: WrongVoltage, Pass: 2},
	}
	truth := record(t, p).truth
	var got []string
	for _, f := range truth.Faults {
		got = append(got, fmt.Sprintf("%s %d %.0f", f.Fault.Kind, f.Pass, f.Angle))
		assert.Greater(t, f.End.Since, f.Start.Since)
	}
	assert.Equal(t, []string{"gas loss 1 200", "wrong voltage 2 0", "gas loss 2 200"}, got)
}

func TestAnticlockwiseFault(t *testing.T) {
	p := brisk()
	p.RotationSpeed = -p.RotationSpeed
	p.StartAngle = 10
	p.Faults = []Fault{{Kind: WireSlip, Turn: 2, From: 300, To: 270}}
	rec := record(t, p)
	f := rec.truth.Faults[0]
	assert.InDelta(t, 300, float64(f.Angle), 0.1)
	assert.InDelta(t, float64(quantity.Seconds(1)), float64(f.Duration), 0.01, "30 degrees at 30 degrees a second")
	assert.InDelta(t, 0.003*(360+70)/360, float64(f.Depth), 1e-5)
	assert.InDelta(t, -(360 + 70), turnAt(rec, f.Start.Tick), 1)
}
