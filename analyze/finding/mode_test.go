package finding

import (
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/waveform"
)

// pulsing is a look at a good pulsed arc, calm at a good spray arc.
func pulsing(s *waveform.Statistics) {
	*s = waveform.Statistics{
		Mode: waveform.Pulsed, PulseRate: new(quantity.Hertz(120)), Unrest: new(quantity.Ratio(0.01)), Voltage95: 30, Current: 140, RMS: 180, Known: 0.5,
	}
}

func calm(s *waveform.Statistics) {
	*s = waveform.Statistics{Mode: waveform.Spray, Unrest: new(quantity.Ratio(0.01)), Voltage95: 28, Current: 140, RMS: 141, Known: 0.5}
}

func restless(of func(*waveform.Statistics)) func(*waveform.Statistics) {
	return func(s *waveform.Statistics) {
		of(s)
		s.Unrest = new(quantity.Ratio(0.06))
	}
}

// laid lays a good pass of looks, and five seconds of others in the next one.
func laid(good, odd func(*waveform.Statistics)) *weld {
	w := waveWeld()
	w.lookTimes(97, good)
	w.end()
	w.strike(5)
	w.lookTimes(10, good)
	w.lookTimes(10, odd)
	w.lookTimes(10, good)
	w.end()
	return w
}

// An arc that becomes restless, as without its gas, of every mode that has no shorts; a spray arc
// that does burns as if by heavy drops.
func TestWave_unrest(t *testing.T) {
	heavy := func(s *waveform.Statistics) {
		restless(calm)(s)
		s.Mode = waveform.Globular
	}
	for name, w := range map[string]*weld{"pulsed": laid(pulsing, restless(pulsing)), "spray": laid(calm, restless(calm)), "heavy": laid(calm, heavy)} {
		f := w.only(t)
		require.Equal(t, ArcUnrest, f.Rule, name)
		require.Equal(t, 0.06, f.Worst, name)
		require.InDelta(t, 0.019, f.Limit, 1e-9, "three times 0.3 % above 1 %")
		require.Equal(t, quantity.Seconds(5), f.Duration, name)
	}
}

// Pulses that come slower, or faster, than in the good passes.
func TestWave_pulseRate(t *testing.T) {
	for rate, limit := range map[quantity.Hertz]float64{90: 102, 150: 138} {
		f := laid(pulsing, func(s *waveform.Statistics) {
			pulsing(s)
			s.PulseRate = &rate
		}).only(t)
		require.Equal(t, PulseRate, f.Rule)
		require.Equal(t, float64(rate), f.Worst)
		require.InDelta(t, limit, f.Limit, 1e-9)
	}
}

// A voltage that stands above that of the good passes, of an arc that has no shorts to tell more.
func TestWave_voltageRisen(t *testing.T) {
	f := laid(calm, func(s *waveform.Statistics) {
		calm(s)
		s.Voltage95 = 31
	}).only(t)
	require.Equal(t, VoltageRisen, f.Rule)
	require.Equal(t, 31.0, f.Worst)
	require.InDelta(t, 28.84, f.Limit, 1e-9)
	require.Empty(t, laid(func(*waveform.Statistics) {}, func(s *waveform.Statistics) { s.Voltage95 = 25 }).Found(), "of a dip arc the rhythm has to say so too")
}

// Rules for shorts have no meaning for an arc without them.
func TestWave_noShortsToJudge(t *testing.T) {
	for _, of := range []func(*waveform.Statistics){pulsing, calm} {
		require.Empty(t, laid(of, func(s *waveform.Statistics) {
			of(s)
			s.Stubs, s.Transfer, s.ShortShare = 9, 120, 0.75
		}).Found())
	}
}

// Where the good passes were dip and the arc pulses, or the other way round, that is told, once
// it lasts for two seconds; nothing else is judged meanwhile.
func TestWave_otherMode(t *testing.T) {
	f := laid(func(*waveform.Statistics) {}, pulsing).only(t)
	require.Equal(t, TransferMode, f.Rule)
	require.Contains(t, f.Sentence, "pulsed transfer where dip is meant")
	require.Equal(t, quantity.Seconds(5), f.Duration)
	require.Contains(t, laid(pulsing, calm).only(t).Sentence, "spray transfer where pulsed is meant")

	w := waveWeld()
	w.lookTimes(97)
	w.end()
	w.strike(5)
	w.lookTimes(10)
	w.lookTimes(3, pulsing)
	w.lookTimes(10)
	w.end()
	require.Empty(t, w.Found(), "a second and a half")
}

// However long the arc burns in another mode, the good passes stay what it is held against.
func TestWave_otherModeForLong(t *testing.T) {
	w := waveWeld()
	w.goodPass()
	w.strike(5)
	w.lookTimes(10)
	w.lookTimes(150, pulsing)
	w.end()
	require.Equal(t, TransferMode, w.only(t).Rule)
	require.Equal(t, quantity.Seconds(75), w.only(t).Duration)
}

// What the procedure says rules, from the first pass on, and also between modes that run into one
// another.
func TestWave_declaredMode(t *testing.T) {
	for declared, want := range map[string]int{"": 0, "spray": 0, "globular": 1, "dip": 1, "pulsed": 1} {
		w := waveWeld()
		w.ledger.job.Procedure.Transfer = declared
		w.lookTimes(20, calm)
		w.end()
		require.Len(t, w.Found(), want, declared)
		for _, f := range w.Found() {
			require.Contains(t, f.Sentence, "spray transfer where "+declared+" is meant")
		}
	}
}

// Before there is a good pass, most of the looks say how the arc of a job burns.
func TestModes_most(t *testing.T) {
	require.Equal(t, waveform.Mode(""), modes{}.most())
	require.Equal(t, waveform.Pulsed, modes{waveform.Dip: 2, waveform.Pulsed: 3}.most())
	require.Equal(t, waveform.Dip, modes{waveform.Spray: 2, waveform.Dip: 2, waveform.Pulsed: 1}.most())
}
