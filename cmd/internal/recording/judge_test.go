package recording

import (
	"bytes"
	"io"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/jobfile/jobtest"
	"arctally/cmd/internal/terminal"
	"arctally/report/page/live"
)

// A mistake in the judging is told at the end, with what is not touched by it.
func TestLive_AMistakeOfTheAnalysisLetsTheRecordingGoOn(t *testing.T) {
	p, err := jobfile.Read(jobtest.Short(t, "helix", jobtest.OneTurn))
	require.NoError(t, err)
	var said bytes.Buffer
	l := newJudge(terminal.New(io.Discard, &said), p.Job, time.Minute, func() {})
	l.run = nil // it breaks at the first block
	o := &onlooker{Sink: l, broke: l.broke}
	for range 2 {
		require.NoError(t, o.Block(&series.Block{Kind: series.Arc, Step: 1, V: []int32{1}, I: []int32{1}}))
	}
	assert.Equal(t, 1, strings.Count(said.String(), "the recording goes on"))
	_, _, err = l.finish()
	require.ErrorAs(t, err, new(*MistakeError))
	hint := explain.Of(err).Hint
	assert.Contains(t, hint, "what was recorded is stored")

	m := &Monitor{now: time.Now, judge: l, board: live.NewBoard(live.State{}, p.Job), boxes: live.NewBoxes([]string{"port"}, []int{0}, time.Now)}
	m.board.ArcOn, m.board.Channels = true, []live.Channel{{Name: "voltage"}}
	m.lookOnce()
	assert.False(t, m.board.ArcOn)
	assert.Empty(t, m.board.Channels, "no old value passes for a new one")
	assert.Contains(t, m.board.Link.Words, "the recording goes on")
}
