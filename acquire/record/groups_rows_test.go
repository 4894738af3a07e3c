package record

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

// noisyRecord is one whose groups have far more payload together than is read at once, some
// of them none, in two epochs that take turns.
func noisyRecord(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "noisy.arc")
	w, err := create(path, Meta{Job: "j"}, whenAsked())
	require.NoError(t, err)
	require.NoError(t, w.Source(box()))
	dice := rand.New(rand.NewPCG(7, 7))
	for k := range int64(40) {
		if k%9 == 8 {
			require.NoError(t, w.Event(series.Event{Kind: series.Gap, Tick: k, Until: k + 1}))
			require.NoError(t, w.Sync())
			continue
		}
		b := series.Block{Kind: series.Arc, Epoch: int(k / 13 % 2), Tick: k * 1e9, Step: 100_000}
		for range 1 + dice.IntN(10_000) {
			b.V, b.I = append(b.V, int32(int16(dice.Uint32()))), append(b.I, int32(int16(dice.Uint32())))
		}
		require.NoError(t, w.Block(&b))
		require.NoError(t, w.Block(&series.Block{Kind: series.Turn, Epoch: b.Epoch, Tick: b.Tick, Count: []int64{k}}))
		require.NoError(t, w.Sync())
	}
	require.NoError(t, w.Close())
	return path
}

// Groups that are read together are what they are alone.
func TestGroups_ReadTogetherAsAlone(t *testing.T) {
	r, err := Open(noisyRecord(t))
	require.NoError(t, err)
	alone := newFiller(r, "")
	samples := 0
	for g, err := range r.Groups() {
		require.NoError(t, err)
		require.NoError(t, alone.read(g.Number))
		alone.group.Blocks = alone.group.Blocks[:0]
		alone.order()
		require.Equal(t, alone.group.Blocks, g.Blocks)
		samples += len(alone.lanes[laneOf(series.Arc)].v)
	}
	require.Greater(t, samples, 100_000)
	alone.close()

	heads, err := r.heads(selectCommits+"WHERE number > ? ORDER BY number LIMIT ?", []any{0, commitsAtOnce})
	require.NoError(t, err)
	together := newStoredRows(r, "")
	together.ahead = heads
	require.NoError(t, together.read(heads[0].number))
	require.Greater(t, together.past, heads[0].number+2, "several are read at once")
	require.Less(t, together.past, heads[len(heads)-1].number, "and no more than there is room for")
	past, most := together.past, len(together.memory)
	require.Less(t, most, 2*mostAhead)
	require.NoError(t, together.read(past-1))
	require.Equal(t, past, together.past, "nothing is read that is there")
	for p := together.next(past - 1); p != nil; p = together.next(past - 1) {
		require.Equal(t, past-1, p.row/idsPerCommit)
	}
	require.NoError(t, together.read(past-1))
	require.NotNil(t, together.next(past-1), "what was taken is read again")
	together.ahead = []commitHead{{number: 2}, {number: 3}, {number: 5}}
	require.NoError(t, together.read(2))
	require.Equal(t, int64(4), together.past, "up to a group that is not asked for")
	together.close()
	require.NoError(t, r.Close())
}

// Rows of a finished record that somebody went on with meanwhile may be of two states of it.
func TestGroups_RowsOfAFileThatChanged(t *testing.T) {
	path := smallRecord(t)
	r, err := Open(path)
	require.NoError(t, err)
	rows := newStoredRows(r, "")
	require.NoError(t, rows.read(2))
	require.NoError(t, os.Chtimes(path, time.Time{}, time.Now().Add(time.Hour)))
	requireKind(t, Changed, rows.read(3))
	requireKind(t, Changed, rows.read(3)) // and none of them are kept
	rows.close()
	require.NoError(t, r.Close())
}

// What is before a damaged row is handed out, whatever is read with it; the row is named by
// its group.
func TestGroups_WhatIsBeforeTheDamage(t *testing.T) {
	for name, change := range map[string]string{
		"tick":  "UPDATE chunks SET tick = 'late' WHERE commit_number = 6",
		"n":     "UPDATE chunks SET n = NULL WHERE commit_number = 6",
		"codec": "UPDATE chunks SET codec = 1.5 WHERE commit_number = 6",
		"kind":  "UPDATE chunks SET kind = NULL WHERE commit_number = 6",
		"part":  "UPDATE chunks SET part = x'00' WHERE commit_number = 6",
	} {
		t.Run(name, func(t *testing.T) {
			path := smallRecord(t)
			alter(t, path, change)
			r, err := Open(path)
			require.NoError(t, err)
			var before []int64
			last := error(nil)
			for g, err := range r.Groups() {
				if last = err; err == nil {
					before = append(before, g.Number)
				}
			}
			require.Equal(t, []int64{1, 2, 3, 4, 5}, before)
			requireKind(t, Damaged, last)
			var e *Error
			require.ErrorAs(t, last, &e)
			require.Equal(t, int64(6), e.Commit)
			require.NoError(t, r.Close())
		})
	}
}
