package analyze

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
	"arctally/analyze/bore"
)

// What is known of the clock of a companion is told as it was known last, and is no
// warning where one box alone speaks.
func TestRun_companions(t *testing.T) {
	run := New(boreJob(bore.Helix), nil)
	s := source(360)
	s.Channels = append(s.Channels[:2:2], series.Channel{Name: "gas_flow", Unit: "L/min", Scale: 1, Box: 2})
	s.TurnBox = 1
	require.NoError(t, run.Source(s))
	require.NoError(t, run.Block(&series.Block{Kind: series.Arc, Step: 1e6, V: []int32{0}, I: []int32{0}})) // from which on it speaks
	for _, e := range []series.Event{
		{Kind: series.Offset, Count: 5e6, Text: "of the arc"},
		{Kind: series.Offset, Box: 2, Count: 60e6, Text: "worst"},
		{Kind: series.Offset, Box: 1, Count: 40e6, Text: "turns"},
		{Kind: series.Offset, Box: 2, Count: 20e6, Text: "bounded"},
	} {
		require.NoError(t, run.Event(e))
	}
	assert.InDelta(t, 0.02, float64(run.companions.channel("gas_flow")), 1e-12)
	assert.Zero(t, run.companions.channel("voltage"))
	assert.Zero(t, run.companions.channel("wire_speed"), "nobody measures it")
	assert.InDelta(t, 0.04, float64(run.companions.apart(s.TurnBox)), 1e-12)
	var texts []string
	for _, w := range run.Result().Warnings {
		if w.Kind == "offset" {
			texts = append(texts, w.Text)
		}
	}
	assert.ElementsMatch(t, []string{"bounded", "turns"}, texts)
}

// A clock that is seen to be off once a pass of it has begun holds for that pass too:
// it must be judged anew.
func TestRun_clockSeenLate(t *testing.T) {
	run := New(boreJob(bore.Helix), nil)
	require.NoError(t, run.Source(source(360)))
	require.NoError(t, run.Event(series.Event{Kind: series.ClockRate, Epoch: 1, Count: 5000, Text: "fast"}))
	_, late := run.Heard()
	require.False(t, late, "before its samples")
	require.NoError(t, run.Block(&series.Block{Kind: series.Arc, Epoch: 2, V: []int32{0}, I: []int32{0}}))
	require.NoError(t, run.Event(series.Event{Kind: series.ClockRate, Epoch: 1, Count: 5000, Text: "fast"}))
	_, late = run.Heard()
	require.True(t, late)
}
