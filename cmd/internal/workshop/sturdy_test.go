package workshop

import (
	"context"
	"io"
	"net/http"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/jobfile/jobtest"
)

// Who closes the page ends the judging for nobody else.
func TestReviews_WhoGoesAwayLeavesTheJudgingToTheOthers(t *testing.T) {
	p, err := jobfile.Read(jobtest.Short(t, "helix", jobtest.OneTurn))
	require.NoError(t, err)
	file := filepath.Join(t.TempDir(), "r.arctally")
	writer, err := p.CreateRecord(file, time.Now())
	require.NoError(t, err)
	require.NoError(t, writer.Close())
	c := newReviews(t.Context(), func() {})
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

// ours is in the stack of what the program does, and not in that of a test that looks on.
var ours = regexp.MustCompile(`arctally/(acquire|report|cmd/internal/\w+\.\(\*)`)

// leftOver are the stacks of what goes on of the program, the tests aside.
func leftOver() (stacks []string) {
	for stack := range strings.SplitSeq(goroutines(), "\n\n") {
		if ours.MatchString(stack) && !strings.Contains(stack, "testing.tRunner(") && !strings.Contains(stack, "(*site).") {
			stacks = append(stacks, stack)
		}
	}
	return stacks
}
