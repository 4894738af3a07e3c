package check

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
	"arctally/cmd/internal/explain"
)

// The sink that averages a channel takes none of the samples on assumed scales,
// begins anew with the box, and gives no more than what it was asked for.
func TestMeasured(t *testing.T) {
	stopped := 0
	m := &measured{channel: "current", length: int64(time.Second), stop: func() { stopped++ }, heard: func(string) error { return nil }}
	s := series.Source{Assumed: true, Channels: []series.Channel{{Name: "voltage"}, {Name: "current", Scale: 0.5, Offset: 1}, {Name: "gas_flow"}}}
	ramp := func(epoch int, from, n int32) *series.Block {
		b := &series.Block{Kind: series.Arc, Epoch: epoch, Tick: int64(from) * 10_000_000, Step: 10_000_000}
		for k := range n {
			b.V, b.I = append(b.V, 7), append(b.I, from+k)
		}
		return b
	}
	require.NoError(t, m.Source(s))
	require.NoError(t, m.Block(ramp(0, 0, 50)))
	s.Assumed = false
	require.NoError(t, m.Source(s))
	require.NoError(t, m.Block(ramp(0, 50, 50)))
	require.NoError(t, m.Block(ramp(1, 0, 80)))
	require.Zero(t, stopped)
	require.NoError(t, m.Block(ramp(1, 80, 40)))
	require.Equal(t, 1, stopped)
	m.end()
	require.Len(t, m.values, measuredPieces)
	// Codes 0 to 99, two in a piece: the first mean is 0.5*0.5 + 1 at 10 ms, all of them 49.5*0.5 + 1.
	assert.InDelta(t, 1.25, m.values[0], 1e-12)
	assert.InDelta(t, 0.01, m.seconds[0], 1e-12)
	assert.InDelta(t, 25.75, m.mean(), 1e-12)
	var missing *explain.Error
	m.channel = "temperature"
	require.ErrorAs(t, m.Source(s), &missing)
	assert.NotEmpty(t, missing.Hint())
}

// Windows of sums and slow channels are averaged as well.
func TestMeasured_sumsAndSlowChannels(t *testing.T) {
	s := series.Source{Channels: []series.Channel{{Name: "voltage", Scale: 0.01}, {Name: "current", Scale: 0.1}, {Name: "gas_flow"}}}
	for channel, want := range map[string]float64{"voltage": 20, "current": 150, "gas_flow": 12} {
		m := &measured{channel: channel, length: int64(time.Second), stop: func() {}, heard: func(string) error { return nil }}
		require.NoError(t, m.Source(s))
		for k := range int64(4) {
			at := k * 500_000_000
			require.NoError(t, m.Block(&series.Block{Kind: series.Sums, Tick: at, Step: 1_000_000, Sum: series.WindowSums{Count: 500, V: 500 * 2000, I: 500 * 1500}}))
			require.NoError(t, m.Block(&series.Block{Kind: series.Slow, Ticks: []int64{at}, Channel: []uint8{2}, Value: []float64{12}}))
		}
		m.end()
		require.True(t, m.done)
		assert.InDelta(t, want, m.mean(), 1e-9, channel)
	}
}
