package main

import (
	"bytes"
	"context"
	"io"
	"net/http"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/record"
	"arctally/acquire/sensorbox"
	"arctally/acquire/series"
	planning "arctally/analyze/plan"
	"arctally/cmd/internal/explain"
	"arctally/report/page/live"
)

// stumbler is a follower that breaks in the middle.
type stumbler struct {
	blocks int
	told   *mistakeError
}

func (s *stumbler) follow(*liveJudge)          {}
func (s *stumbler) broke(e *mistakeError)      { s.told = e }
func (s *stumbler) Source(series.Source) error { return nil }
func (s *stumbler) Event(series.Event) error   { return nil }
func (s *stumbler) Block(*series.Block) error {
	if s.blocks++; s.blocks == 100 {
		panic("stumbled")
	}
	return nil
}

// A mistake in what looks on ends neither the recording nor the judging.
func TestSession_AMistakeOfTheFollowerLosesNothing(t *testing.T) {
	p, err := loadPlan(shortJob(t, "helix", oneTurn))
	require.NoError(t, err)
	box, err := sensorbox.New(boxPlan(p, 1, nil))
	require.NoError(t, err)
	f := &stumbler{}
	s := session{plan: p, record: filepath.Join(t.TempDir(), "r.arctally"), now: time.Now, follower: f}
	got, err := lay(t.Context(), newScreen(io.Discard, io.Discard), &s, box)
	require.NoError(t, err)
	require.NotNil(t, f.told)
	assert.Contains(t, f.told.Error(), "stumbled")
	assert.Equal(t, 100, f.blocks, "nothing came after it")
	require.Len(t, got.Passes, 1)
	require.NoError(t, record.Verify(s.record))
	read, err := openReview(t.Context(), newScreen(io.Discard, io.Discard), s.record, "")
	require.NoError(t, err)
	require.NoError(t, read.Close())
	assert.Equal(t, got.Passes, read.result.Passes, "all of it is there")
}

// A mistake in the judging is told at the end, with what is not touched by it.
func TestLive_AMistakeOfTheAnalysisLetsTheRecordingGoOn(t *testing.T) {
	p, err := loadPlan(shortJob(t, "helix", oneTurn))
	require.NoError(t, err)
	var said bytes.Buffer
	l := newLiveJudge(newScreen(io.Discard, &said), p.job, time.Minute, func() {})
	l.run = nil // it breaks at the first block
	o := &onlooker{Sink: l, broke: l.broke}
	for range 2 {
		require.NoError(t, o.Block(&series.Block{Kind: series.Arc, Step: 1, V: []int32{1}, I: []int32{1}}))
	}
	assert.Equal(t, 1, strings.Count(said.String(), "the recording goes on"))
	_, err = l.finish()
	require.ErrorAs(t, err, new(*mistakeError))
	hint := explain.Of(err).Hint
	assert.Contains(t, hint, "what was recorded is stored")

	m := &monitor{now: time.Now, judge: l, board: live.NewBoard(live.State{}, p.job), hearing: live.NewHearing("port", time.Now)}
	m.board.ArcOn, m.board.Channels = true, []live.Channel{{Name: "voltage"}}
	m.lookOnce()
	assert.False(t, m.board.ArcOn)
	assert.Empty(t, m.board.Channels, "no old value passes for a new one")
	assert.Contains(t, m.board.Link.Words, "the recording goes on")
}

// The virtual box of serve lays what the plan says, unless it is told otherwise.
func TestServe_LaysAsManyLayersAsPlanned(t *testing.T) {
	p, err := loadPlan(shortJob(t, "helix", oneTurn))
	require.NoError(t, err)
	p.job.Bore.WeldToDiameter = 0.080
	made, err := planning.Make(p.job, planning.Options{})
	require.NoError(t, err)
	require.Greater(t, len(made.Layers), 1)
	for asked, want := range map[int]int{plannedLayers: len(made.Layers), 1: 1, 7: 7} {
		box, err := boxFor(p, boxOptions{speed: 1, layers: asked, faults: noFaults}.planned(p))
		require.NoError(t, err)
		assert.Equal(t, want, box.Plan().Layers)
	}
	_, err = boxFor(p, boxOptions{speed: 1, layers: -1, faults: noFaults}.planned(p))
	require.Error(t, err)
}

// Who closes the page ends the judging for nobody else.
func TestReviews_WhoGoesAwayLeavesTheJudgingToTheOthers(t *testing.T) {
	p, err := loadPlan(shortJob(t, "helix", oneTurn))
	require.NoError(t, err)
	file := filepath.Join(t.TempDir(), "r.arctally")
	writer, err := createRecord(file, p, time.Now())
	require.NoError(t, err)
	require.NoError(t, writer.Close())
	c := newReviews(t.Context())
	defer c.close()
	c.turn <- struct{}{} // another record is being judged
	gone, leave := context.WithCancel(t.Context())
	leave()
	_, _, err = c.of(gone, "r", file, stamp{}, false, longest)
	require.ErrorIs(t, err, context.Canceled)
	kept, _, err := c.of(t.Context(), "r", file, stamp{}, false, time.Millisecond)
	require.NoError(t, err)
	require.Nil(t, kept, "it is still waiting for its turn")
	<-c.turn
	kept, _, err = c.of(t.Context(), "r", file, stamp{}, false, longest)
	require.NoError(t, err)
	require.NotNil(t, kept)
}

// vanish asks for all samples of a record, and goes away after the first of them:
// the work on them ends.
func (s *site) vanish(record string) {
	s.t.Helper()
	ctx, leave := context.WithCancel(context.Background())
	defer leave()
	request, err := http.NewRequestWithContext(ctx, http.MethodGet, s.base+"/records/"+record+"/file/csv", http.NoBody)
	require.NoError(s.t, err)
	response, err := http.DefaultClient.Do(request)
	require.NoError(s.t, err)
	_, err = io.ReadFull(response.Body, make([]byte, 1000))
	require.NoError(s.t, err)
	working := func() bool { return strings.Contains(goroutines(), "arctally/report/export.CSV") }
	assert.True(s.t, working(), "the reader is slow, and the work waits for it")
	leave()
	_ = response.Body.Close() // it was broken off
	require.Eventually(s.t, func() bool { return !working() }, longest, 10*time.Millisecond)
}

// goroutines are the stacks of all of them.
func goroutines() string {
	for size := 1 << 20; ; size *= 2 {
		text := make([]byte, size)
		if n := runtime.Stack(text, true); n < size {
			return string(text[:n])
		}
	}
}

// leftOver are the stacks of what goes on of the program, the tests aside.
func leftOver() (stacks []string) {
	for stack := range strings.SplitSeq(goroutines(), "\n\n") {
		ours := strings.Contains(stack, "arctally/acquire") || strings.Contains(stack, "arctally/report") || strings.Contains(stack, "cmd/arctally.(*")
		if ours && !strings.Contains(stack, "testing.tRunner(") && !strings.Contains(stack, "(*site).") {
			stacks = append(stacks, stack)
		}
	}
	return stacks
}
