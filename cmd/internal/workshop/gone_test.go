package workshop

import (
	"context"
	"io"
	"path/filepath"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/jobfile/jobtest"
	"arctally/cmd/internal/recording"
	"arctally/cmd/internal/terminal"
	"arctally/cmd/internal/virtualbox"
	"arctally/report/page"
	"arctally/report/page/trace"
)

// goesAway is a page that is there for so many questions whether it still is.
type goesAway struct {
	context.Context
	left  atomic.Int64
	asked atomic.Int64
}

// Err implements context.Context.
func (g *goesAway) Err() error {
	if g.asked.Add(1) > g.left.Load() {
		return context.Canceled
	}
	return nil
}

func pageFor(t *testing.T, questions int64) *goesAway {
	g := &goesAway{Context: context.WithoutCancel(t.Context())}
	g.left.Store(questions)
	return g
}

// laidShop is a workshop over a folder with the record of a turn.
func laidShop(t *testing.T) *workshop {
	t.Helper()
	if testing.Short() {
		t.Skip("it records a turn")
	}
	job := jobtest.Short(t, "helix", jobtest.OneTurn)
	p, err := jobfile.Read(job)
	require.NoError(t, err)
	boxes, err := virtualbox.New(p, virtualbox.Options{Speed: boxSpeed, Layers: 1, Faults: "arc-out"})
	require.NoError(t, err)
	s := recording.Session{Job: p, Record: filepath.Join(filepath.Dir(job), "job.arctally"), Now: virtualbox.Clock(time.Now(), boxes[0])}
	_, err = virtualbox.Lay(t.Context(), terminal.Quiet(time.Now), &s, boxes...)
	require.NoError(t, err)
	folder, err := openFolder(filepath.Dir(job))
	require.NoError(t, err)
	w := newWorkshop(context.WithoutCancel(t.Context()), folder, terminal.Quiet(time.Now), page.NewHub(), nil)
	t.Cleanup(func() {
		w.close()
		assert.NoError(t, folder.close())
	})
	require.NoError(t, w.onReview(t.Context(), "job", judged))
	return w
}

// What a page has asked for is worked on as long as it is there, and no longer: each kind of
// work asks again and again, and ends with the first answer that says no.
func TestGone_WorkEndsWithThePage(t *testing.T) {
	w := laidShop(t)
	spans := func() (from, until int64) {
		answer, _, err := w.Review(t.Context(), "job")
		require.NoError(t, err)
		return answer.Epochs[0].FirstTick, answer.Epochs[0].LastTick
	}
	from, until := spans()
	work := map[string]func(context.Context) error{
		"integrity": func(ctx context.Context) error {
			clear(w.known.intact) // what was verified is not verified again
			_, err := w.Integrity(ctx, "job")
			return err
		},
		"trace": func(ctx context.Context) error {
			_, err := w.Trace(ctx, "job", trace.Window{From: from, Until: until, Columns: 500}, nil)
			return err
		},
		"samples of a trace": func(ctx context.Context) error {
			_, err := w.Trace(ctx, "job", trace.Window{From: from, Until: from + 5e9, Columns: 500}, nil)
			return err
		},
	}
	for _, form := range []page.FileForm{page.PDF, page.HTML, page.JSON, page.CSV, page.Parquet} {
		work[string(form)] = func(ctx context.Context) error {
			return w.File(ctx, io.Discard, "job", page.FileRequest{Form: form, Paper: "a4"})
		}
	}
	for what, do := range work {
		t.Run(what, func(t *testing.T) {
			stays := pageFor(t, 1<<40)
			require.NoError(t, do(stays))
			all := stays.asked.Load()
			require.GreaterOrEqual(t, all, int64(3), "it asks as it works")
			for _, left := range []int64{0, 1, all / 2} {
				leaves := pageFor(t, left)
				require.ErrorIs(t, do(leaves), context.Canceled, "after %d of %d questions", left, all)
				assert.LessOrEqual(t, leaves.asked.Load(), left+8, "who has said no is not worked for any more")
			}
			require.NoError(t, do(pageFor(t, 1<<40)), "for the next one it is done")
		})
	}
}

// A judging that no page asks for any more is given up; one that the house wants is not, and
// whoever asks again has it begun anew.
func TestGone_JudgingThatNobodyAsksForEnds(t *testing.T) {
	w := laidShop(t)
	file, err := w.folder.recordPath("job")
	require.NoError(t, err)
	c := newReviews(t.Context(), func() {})
	defer c.close()
	c.unasked = time.Millisecond
	c.turn <- struct{}{} // another record is being judged
	left, err := c.judgement("job", file, stamp{}, false, false)
	require.NoError(t, err)
	wanted, err := c.judgement("other", file, stamp{}, false, true)
	require.NoError(t, err)
	select {
	case <-left.done:
	case <-time.After(longest):
		t.Fatal("it is still waiting for its turn")
	}
	require.ErrorIs(t, left.err, context.Canceled)
	assert.False(t, wanted.ended())
	assert.Nil(t, c.open("job"))
	<-c.turn
	c.unasked = longest
	r, _, err := c.of(t.Context(), "job", file, stamp{}, false, longest)
	require.NoError(t, err)
	assert.NotNil(t, r)
	<-wanted.done
	assert.NoError(t, wanted.err)
}
