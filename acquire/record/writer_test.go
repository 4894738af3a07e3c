package record

import (
	"context"
	"fmt"
	"path/filepath"
	"runtime"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

func arcBlock(n int) *series.Block {
	return &series.Block{Kind: series.Arc, Step: 100_000, V: make([]int32, n), I: make([]int32, n)}
}

// holdWriteLock keeps commits of the record waiting until the returned function is called.
func holdWriteLock(t *testing.T, path string) (release func()) {
	t.Helper()
	db, err := connect(path, "_pragma=busy_timeout(10000)")
	require.NoError(t, err)
	ctx := context.Background()
	conn, err := db.Conn(ctx)
	require.NoError(t, err)
	_, err = conn.ExecContext(ctx, "BEGIN IMMEDIATE")
	require.NoError(t, err)
	return func() {
		_, err := conn.ExecContext(ctx, "ROLLBACK")
		require.NoError(t, err)
		require.NoError(t, conn.Close())
		require.NoError(t, db.Close())
	}
}

// A caller waits as long as the memory is full, and goes on as soon as a commit
// has freed some: no more than the limit ever waits for the disk.
func TestWriter_CallerWaitsWhileTheMemoryIsFull(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		const limit = 1000 + costOfRow // ten blocks of one chunk
		w := newWriter("job.arc", nil, options{now: time.Now, limit: limit})
		added := 0
		add := func() {
			require.NoError(t, w.Block(arcBlock(100)))
			added++
		}
		for range 10 {
			add()
		}
		require.Equal(t, limit, w.waiting, "full to the last sample")
		go add()
		synctest.Wait()
		require.Equal(t, 10, added, "it waits")
		batch, last := w.take(false)
		require.False(t, last)
		require.Len(t, batch, 1, "who waits has cut the group, so that it can be committed")
		w.settle(batch, nil)
		synctest.Wait()
		require.Equal(t, 11, added, "it goes on")
		require.Equal(t, 100+costOfRow, w.waiting)
		require.Equal(t, int64(1000), w.Acknowledged())
	})
}

// A block of several groups waits for the memory of what is left of it, and no more.
func TestWriter_CallerWaitsForWhatIsLeftOfABlock(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		const n = maxGroupSamples + 10
		w := newWriter("job.arc", nil, options{now: time.Now, limit: n + costOfRow})
		done := false
		go func() {
			require.NoError(t, w.Block(arcBlock(n)))
			done = true
		}()
		synctest.Wait()
		require.True(t, done)
		require.Equal(t, n+2*costOfRow, w.waiting, "each group has a chunk of it")
	})
}

// A caller that waits for memory meets the error of the commit that was to free it.
func TestWriter_CallerThatWaitsMeetsTheError(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		w := newWriter("job.arc", nil, options{now: time.Now, limit: 200})
		require.NoError(t, w.Block(arcBlock(150)))
		var met error
		go func() { met = w.Block(arcBlock(100)) }()
		synctest.Wait()
		require.NoError(t, met)
		batch, _ := w.take(false)
		w.settle(batch, &Error{Kind: Failed, Path: "job.arc"})
		synctest.Wait()
		requireKind(t, Failed, met)
		require.Zero(t, w.Acknowledged())
	})
}

// While the disk stands still, what comes is kept, and all of it is in the record afterwards.
func TestWriter_NothingIsLostWhileTheDiskStandsStill(t *testing.T) {
	path := filepath.Join(t.TempDir(), "job.arc")
	w, err := create(path, Meta{}, options{now: time.Now, limit: 2000})
	require.NoError(t, err)
	release := holdWriteLock(t, path)
	const blocks = 100
	added := make(chan int, blocks)
	failed := make(chan error, 1)
	go func() {
		defer close(failed)
		b := arcBlock(100)
		for k := range blocks {
			if err := w.Block(b); err != nil {
				failed <- err
				return
			}
			b.Tick += 100 * b.Step
			added <- k
		}
	}()
	for range 15 {
		<-added
	}
	require.Zero(t, w.Acknowledged())
	release()
	require.NoError(t, <-failed)
	require.NoError(t, w.Close())
	require.Equal(t, int64(blocks*100), w.Acknowledged())
	require.NoError(t, Verify(path))
}

// TestWriter_ThirtySecondsOfTheFastestSourceFitTheMemory blocks the disk and
// adds 30 s of 100 kHz.
func TestWriter_ThirtySecondsOfTheFastestSourceFitTheMemory(t *testing.T) {
	path := filepath.Join(t.TempDir(), "job.arc")
	w, err := Create(path, Meta{})
	require.NoError(t, err)
	release := holdWriteLock(t, path)
	b := arcBlock(100)
	b.Step = 10_000
	for range 30 * 100_000 / 100 {
		require.NoError(t, w.Block(b))
		b.Tick += 100 * b.Step
	}
	require.Zero(t, w.Acknowledged())
	release()
	require.NoError(t, w.Close())
	require.Equal(t, int64(3_000_000), w.Acknowledged())
}

func TestWriter_StopsForGoodAfterAnErrorOfACommit(t *testing.T) {
	path := filepath.Join(t.TempDir(), "job.arc")
	w, err := create(path, Meta{}, whenAsked())
	require.NoError(t, err)
	require.NoError(t, w.Block(arcBlock(10)))
	require.NoError(t, w.Sync())
	release := inTheWay(t, path, "chunks", "id", 3*idsPerCommit+1)
	require.NoError(t, w.Block(arcBlock(10)))
	first := w.Sync()
	requireKind(t, Failed, first)
	release() // it could go on now, but must not try
	require.Equal(t, first, w.Block(arcBlock(10)))
	require.Equal(t, first, w.Event(series.Event{Kind: series.Remark}))
	require.Equal(t, first, w.Source(box()))
	require.Equal(t, first, w.Sync())
	require.Equal(t, first, w.Close())
	require.Equal(t, int64(10), w.Acknowledged())

	require.NoError(t, Verify(path), "the group that failed left nothing behind")
	w, err = Append(path)
	require.NoError(t, err)
	require.NoError(t, w.Close())
	require.NoError(t, Verify(path))
}

// inTheWay puts a row where the writer will want to put one, until release.
func inTheWay(t *testing.T, path, table, column string, id int64) (release func()) {
	t.Helper()
	alterSchema(t, path, fmt.Sprintf("INSERT INTO %s (%s) VALUES (%d)", table, column, id))
	return func() { alterSchema(t, path, fmt.Sprintf("DELETE FROM %s WHERE %s = %d", table, column, id)) }
}

func alterSchema(t *testing.T, path, statement string) {
	t.Helper()
	db, err := connect(path, "_pragma=busy_timeout(10000)")
	require.NoError(t, err)
	_, err = db.Exec(statement)
	require.NoError(t, err)
	require.NoError(t, db.Close())
}

func TestWriter_ClosedRefuses(t *testing.T) {
	w, err := Create(filepath.Join(t.TempDir(), "job.arc"), Meta{})
	require.NoError(t, err)
	require.NoError(t, w.Close())
	var e *Error
	require.ErrorAs(t, w.Block(arcBlock(1)), &e)
	require.Equal(t, Closed, e.Kind)
	require.ErrorAs(t, w.Sync(), &e)
}

func TestWriter_PanicsOnACallersBug(t *testing.T) {
	w, err := Create(filepath.Join(t.TempDir(), "job.arc"), Meta{})
	require.NoError(t, err)
	for name, b := range map[string]series.Block{
		"currents": {Kind: series.Arc, V: make([]int32, 2), I: make([]int32, 1)},
		"flags":    {Kind: series.Arc, V: make([]int32, 2), I: make([]int32, 2), Flag: make([]bool, 1)},
		"ticks":    {Kind: series.Turn, Count: make([]int64, 2), Ticks: make([]int64, 1)},
		"channels": {Kind: series.Slow, Value: make([]float64, 2), Channel: make([]uint8, 1)},
		"kind":     {Kind: 9},
	} {
		require.Panics(t, func() { _ = w.Block(&b) }, name)
	}
	require.NoError(t, w.Close())
}

func TestAppend_GoesOn(t *testing.T) {
	path := filepath.Join(t.TempDir(), "job.arc")
	w, err := Create(path, Meta{})
	require.NoError(t, err)
	_, _, ok := w.Last()
	require.False(t, ok)
	require.NoError(t, w.Source(box()))
	b := arcBlock(10)
	b.Epoch, b.Tick = 3, 5
	require.NoError(t, w.Block(b))
	require.NoError(t, w.Close())

	w, err = Append(path)
	require.NoError(t, err)
	epoch, tick, ok := w.Last()
	require.True(t, ok)
	require.Equal(t, 3, epoch)
	require.Equal(t, b.At(9), tick)
	require.Equal(t, int64(10), w.Acknowledged())
	require.NoError(t, w.Source(box()), "known already")
	b.Tick = b.At(10)
	require.NoError(t, w.Block(b))
	b.Tick = b.At(10)
	require.NoError(t, w.Block(b))
	require.NoError(t, w.Close())

	r, err := Open(path)
	require.NoError(t, err)
	var breaks []bool
	sources := 0
	for g, err := range r.Groups() {
		require.NoError(t, err)
		sources += len(g.Sources)
		for k := range g.Blocks {
			breaks = append(breaks, g.Blocks[k].Break)
		}
	}
	require.Equal(t, 1, sources)
	require.Equal(t, []bool{false, true}, breaks, "what follows the stop does not join what came before")
	events, err := r.Events()
	require.NoError(t, err)
	require.Len(t, events, 1)
	require.Equal(t, series.Resumed, events[0].Kind)
	require.Equal(t, tick, events[0].Tick)
	require.NoError(t, r.Close())
	require.NoError(t, Verify(path))
}

// TestReader_FinishedRecordThatGoesOn opens a finished record, goes on with it
// in the same process, and checks that the reader notices and takes no locks away.
func TestReader_FinishedRecordThatGoesOn(t *testing.T) {
	path := filepath.Join(t.TempDir(), "job.arc")
	w, err := Create(path, Meta{})
	require.NoError(t, err)
	require.NoError(t, w.Block(arcBlock(10)))
	require.NoError(t, w.Close())
	r, err := Open(path)
	require.NoError(t, err)
	w, err = Append(path)
	require.NoError(t, err)
	for range 200 {
		require.NoError(t, w.Block(arcBlock(10)))
		require.NoError(t, w.Sync())
	}
	require.NoError(t, r.Close(), "while the writer has the file open")
	r, err = Open(path)
	require.NoError(t, err)
	require.NoError(t, r.Verify())
	require.NoError(t, r.Close())

	out, err := child("count", path).Output()
	require.NoError(t, err)
	require.Equal(t, "2010\n", string(out))
	require.NoError(t, w.Close())

	r, err = Open(path)
	require.NoError(t, err)
	w, err = Append(path)
	require.NoError(t, err)
	require.NoError(t, w.Close())
	var last error
	for _, err := range r.Groups() {
		last = err
	}
	requireKind(t, Changed, last)
	require.NoError(t, r.Close())
}

func TestBlock_AllocatesNothingInTheSteadyState(t *testing.T) {
	path := filepath.Join(t.TempDir(), "job.arc")
	beat := make(chan time.Time)
	w, err := create(path, Meta{}, options{now: time.Now, limit: queueLimit, beat: beat})
	require.NoError(t, err)
	b := arcBlock(100)
	fill := func(n int) {
		for range n {
			if err := w.Block(b); err != nil {
				t.Error(err)
			}
			b.Tick += 100 * b.Step
		}
	}
	for range 5 { // the groups that go round get their memory
		fill(100)
		require.NoError(t, w.Sync())
	}
	runtime.GC()
	allocs := testing.AllocsPerRun(90, func() { fill(1) })
	require.Zero(t, allocs)
	require.NoError(t, w.Close())
}
