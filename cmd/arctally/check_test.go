package main

import (
	"bytes"
	"context"
	"io"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/record"
	"arctally/acquire/sensorbox"
	"arctally/acquire/series"
	"arctally/cmd/internal/explain"
)

// TestEndToEnd_CheckBetweenTwoPasses lays a pass, checks the voltage, and lays
// another one: what was judged live is what the record gives, the first pass is as
// it was, and the second has the line and the doubt of the check.
func TestEndToEnd_CheckBetweenTwoPasses(t *testing.T) {
	job := shortJob(t, "helix", threeTurns)
	p, err := loadPlan(job)
	require.NoError(t, err)
	file := filepath.Join(t.TempDir(), "checked.arctally")
	quiet := newScreen(io.Discard, io.Discard)
	var parts []laid
	for k := range 2 {
		box, err := sensorbox.New(boxPlan(p, 1, nil))
		require.NoError(t, err)
		s := session{plan: p, record: file, more: k > 0, now: time.Now}
		part, err := lay(t.Context(), quiet, &s, box)
		require.NoError(t, err)
		parts = append(parts, part)
		if k == 0 {
			var printed bytes.Buffer
			status := run(t.Context(), []string{
				"check", job, "--record", file, "meter", "channel=voltage", "reading=10V,20V,30V,40V",
				"reference=10.2V,20.4V,30.6V,40.8V", "reference-uncertainty=0.1%", "instrument=meter 3", "by=Fitter",
			}, &printed, &printed)
			require.Equal(t, explain.Done, status, printed.String())
		}
	}
	offline, err := openReview(t.Context(), quiet, file, "")
	require.NoError(t, err)
	require.NoError(t, offline.Close())
	assert.Equal(t, parts[1].Result, offline.result)
	require.Len(t, parts[0].Passes, 1)
	require.Len(t, offline.result.Passes, 2)
	first, second := offline.result.Passes[0], offline.result.Passes[1]
	assert.Equal(t, parts[0].Passes[0], first)
	// The box lays the same plan with the same seed: only the line differs.
	assert.InDelta(t, 1.02, float64(*second.VoltageMean)/float64(*first.VoltageMean), 1e-6)
	assert.InDelta(t, 1.02, float64(second.Energy)/float64(first.Energy), 1e-6)
	assert.NotEqual(t, first.Budget, second.Budget)
	assert.NoError(t, record.Verify(file))
}

// A recording must not be written to from two sides.
func TestCheck_refusesARecordThatIsBeingWritten(t *testing.T) {
	job := shortJob(t, "helix", threeTurns)
	p, err := loadPlan(job)
	require.NoError(t, err)
	file := filepath.Join(t.TempDir(), "busy.arctally")
	writer, err := createRecord(file, p, time.Now())
	require.NoError(t, err)
	var printed bytes.Buffer
	status := run(context.Background(), []string{
		"check", job, "--record", file, "rotation", "turns=3", "time=144s", "instrument=watch", "by=Fitter",
	}, &printed, &printed)
	require.NoError(t, writer.Close())
	assert.Equal(t, explain.Failed, status)
	assert.Contains(t, printed.String(), "busy")
	assert.Contains(t, printed.String(), "hint: another arctally records into this file")
}

// The sink that averages a channel takes none of the samples on assumed scales,
// begins anew with the box, and gives no more than what it was asked for.
func TestMeasured(t *testing.T) {
	stopped := 0
	m := &measured{channel: "current", length: int64(time.Second), stop: func() { stopped++ }}
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
		m := &measured{channel: channel, length: int64(time.Second), stop: func() {}}
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
