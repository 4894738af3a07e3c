package recording

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/calib"
	"arctally/acquire/series"
	"arctally/analyze/note"
	"arctally/analyze/procedure"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/jobfile"
	"arctally/report/page"
	"arctally/report/page/live"
)

func TestBoxTime(t *testing.T) {
	var e boxTime
	e.see(&series.Block{Kind: series.Turn, Ticks: []int64{5e9, 7e9}, Count: []int64{1, 2}})
	e.see(&series.Block{Kind: series.Turn, Epoch: 1, Ticks: []int64{1e9, 2e9}, Count: []int64{1, 2}})
	assert.InDelta(t, 3, e.seconds(), 1e-12)
}

// What waits for its first sample says so at once, and how it ended at the end.
func TestMonitor_TellsItsPhases(t *testing.T) {
	p := &jobfile.File{Job: &procedure.Job{}}
	m := NewMonitor(page.NewHub(), live.State{Record: "r"}, p, []procedure.Sensor{{Port: "port", Link: "binary"}}, live.NewRoll(1, calib.Register{}), time.Now)
	assert.Equal(t, live.Waiting, m.Current().Phase)
	require.NoError(t, m.Block(&series.Block{Kind: series.Arc, Step: 1, V: []int32{1}, I: []int32{1}}))
	assert.Equal(t, live.Running, m.Current().Phase)
	m.Finish(&explain.Error{Text: "it went away", Next: "look for it"})
	end := m.Current()
	assert.Equal(t, live.Failed, end.Phase)
	assert.Equal(t, &live.Trouble{Error: "it went away", Hint: "look for it"}, end.Trouble)
	_, err := m.Note(note.Note{})
	require.ErrorIs(t, err, ErrNotRecording)
	assert.Nil(t, m.Writer())
}
