package workshop

import (
	"math/rand/v2"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/calib"
	"arctally/acquire/record"
	"arctally/acquire/series"
	"arctally/report/page/trace"
)

// seen is a record of random codes, and what is in it.
type seen struct {
	reader *record.Reader
	codes  []int32 // of voltage; sample k stands at k*step, and after the gap lost later
	step   int64
	lost   int64 // ns
}

const (
	tracedVolts = 0.01 // a code
	gapAfter    = 4    // ths of the samples, from the end
)

// traced records n samples a step apart, with a gap of lost ns in them.
func traced(t *testing.T, n int, step, lost int64) *seen {
	s := &seen{step: step, lost: lost}
	file := filepath.Join(t.TempDir(), "traced.arctally")
	w, err := record.Create(file, record.Meta{Job: "traced"})
	require.NoError(t, err)
	require.NoError(t, w.Source(series.Source{Name: "box", CountsPerTurn: 4, Channels: []series.Channel{
		{Name: "voltage", Unit: "V", Scale: tracedVolts}, {Name: "current", Unit: "A", Scale: 0.1}, {Name: "temperature", Unit: "degC", Scale: 1},
	}}))
	r := rand.New(rand.NewPCG(uint64(n), 1))
	for range n {
		s.codes = append(s.codes, r.Int32N(3000))
	}
	for k := 0; k < n; {
		to := min(n, k+1+r.IntN(400))
		if k < n-n/gapAfter {
			to = min(to, n-n/gapAfter)
		}
		b := series.Block{Kind: series.Arc, Tick: s.at(k), Step: step, V: s.codes[k:to], I: s.codes[k:to], Break: k == n-n/gapAfter}
		if b.Break {
			require.NoError(t, w.Event(series.Event{Kind: series.Gap, Tick: s.at(k - 1), Until: s.at(k), Text: "samples are missing"}))
		}
		require.NoError(t, w.Block(&b))
		slow := series.Block{Kind: series.Slow, Ticks: []int64{s.at(k)}, Channel: []uint8{2}, Value: []float64{float64(k)}}
		require.NoError(t, w.Block(&slow))
		turn := series.Block{Kind: series.Turn, Ticks: []int64{s.at(k)}, Count: []int64{int64(k)}}
		require.NoError(t, w.Block(&turn))
		k = to
	}
	require.NoError(t, w.Close())
	s.reader, err = record.Open(file)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, s.reader.Close()) })
	return s
}

// at is the tick of sample k.
func (s *seen) at(k int) int64 {
	tick := int64(k) * s.step
	if k >= len(s.codes)-len(s.codes)/gapAfter {
		tick += s.lost
	}
	return tick
}

// highest returns the sample that is highest in a window.
func (s *seen) highest(w trace.Window) (tick int64, value float64) {
	best := -1
	for k, code := range s.codes {
		if at := s.at(k); at >= w.From && at < w.Until && (best < 0 || code > s.codes[best]) {
			best = k
		}
	}
	return s.at(best), float64(s.codes[best]) * tracedVolts
}

func highestOf(l trace.Line) (tick int64, value float64) {
	value = slices.Max(l.Value)
	return l.Tick[slices.Index(l.Value, value)], value
}

func TestTrace_Samples(t *testing.T) {
	s := traced(t, 200_000, 100_000, 3e9) // 20 s at 10 kHz
	for _, w := range []trace.Window{
		{From: -1e9, Until: 30e9, Columns: 800},
		{From: 3e9, Until: 4e9, Columns: 10},
		{From: 7_000_000_001, Until: 7_010_000_001, Columns: 1200},
		{From: 14.9e9, Until: 18.1e9, Columns: 500},
	} {
		got, err := readTrace(s.reader, calib.Register{}, w, []string{"voltage", "temperature", trace.TurnsChannel})
		require.NoError(t, err)
		tick, value := s.highest(w)
		gotTick, gotValue := highestOf(got.Lines[0])
		assert.InDelta(t, value, gotValue, 1e-12)
		if w.Until-w.From > 12e9 { // made of cells of 10 ms
			assert.InDelta(t, tick, gotTick, 5e6)
			assert.EqualValues(t, 1e7, got.Lines[0].Resolution)
			require.Len(t, got.Lines[0].Breaks, 1)
			require.Len(t, got.Lines, 3)
			assert.NotEmpty(t, got.Lines[2].Tick, "counts of the torch, of which there are no cells")
			assert.Zero(t, got.Lines[2].Resolution)
			continue
		}
		assert.Equal(t, tick, gotTick)
		assert.Zero(t, got.Lines[0].Resolution)
		assert.Equal(t, w.Until-w.From == 10_000_000, got.Lines[0].EverySample, "10 ms are 100 samples")
		if w.Until > 18e9 {
			assert.Len(t, got.Events, 1)
			require.Len(t, got.Lines[0].Breaks, 1)
			after := got.Lines[0].Breaks[0]
			assert.Equal(t, []int64{s.at(149_999), s.at(150_000)}, got.Lines[0].Tick[after-1:after+1], "the line ends and begins at the gap")
		}
	}
}

// TestTrace_Cells: what digests say lies within half a cell of the truth.
func TestTrace_Cells(t *testing.T) {
	s := traced(t, 40_000, 50_000_000, 90e9) // 2000 s at 20 Hz
	held := []calib.Timed{{Calibration: calib.Calibration{Channel: "voltage", Gain: 2, Offset: 1}}}
	r := rand.New(rand.NewPCG(3, 3))
	for k := range 20 {
		w := trace.Window{Until: 3000e9, Columns: 100}
		if k > 0 {
			w.From = r.Int64N(1000) * 1e9
			w.Until = w.From + 150e9 + r.Int64N(1000)*1e9
		}
		got, err := readTrace(s.reader, calib.Register{All: held}, w, nil)
		require.NoError(t, err)
		tick, value := s.highest(w)
		gotTick, gotValue := highestOf(got.Lines[0])
		assert.InDelta(t, value*2+1, gotValue, 1e-9)
		length := int64(1e9)
		if w.Until-w.From >= 1000e9 {
			length = 10e9
		}
		assert.InDelta(t, tick, gotTick, float64(length)/2)
		assert.Equal(t, length, got.Lines[0].Resolution)
		if w.From < 1500e9 && w.Until > 1600e9 {
			assert.Len(t, got.Lines[0].Breaks, 1)
		}
	}
}

func TestTrace_Refused(t *testing.T) {
	s := traced(t, 1000, 1_000_000, 100e9) // 1 s, with a gap from 0.749 s to 100.75 s
	for _, c := range []struct {
		window  trace.Window
		channel string
		says    string
	}{
		{trace.Window{Epoch: 1, Until: 1, Columns: 1}, "voltage", "from: epoch 1 has no samples from 0 to 1 ns; allowed: epoch 0 from 0 to 100999000000 ns"},
		{trace.Window{From: 200e9, Until: 300e9, Columns: 1}, "voltage", "from: epoch 0 has no samples from 200000000000 to 300000000000 ns; allowed: epoch 0 from 0 to 100999000000 ns"},
		{trace.Window{Until: 1, Columns: 1}, "gas_flow", `channels: there is no channel "gas_flow"; allowed: voltage, current, temperature, turns, power`},
		{trace.Window{Until: 1}, "voltage", "columns: 0 columns; allowed: 1 to 8192"},
	} {
		_, err := readTrace(s.reader, calib.Register{}, c.window, []string{c.channel})
		var own *trace.Error
		require.ErrorAs(t, err, &own)
		assert.Equal(t, c.says, own.Error()+"; "+own.Hint())
	}
	got, err := readTrace(s.reader, calib.Register{}, trace.Window{From: 10e9, Until: 20e9, Columns: 5}, nil)
	require.NoError(t, err, "a window within a gap is empty")
	assert.Empty(t, got.Lines[0].Tick)
	assert.Len(t, got.Events, 1)
}
