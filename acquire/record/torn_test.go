package record

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

// liveCopy returns the record of two boxes and its "-wal" file as a crash would leave
// them: half of the commits folded into the record, half not. Sample k of each is k.
func liveCopy(t *testing.T) (main, log []byte, samples int) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "job.arc")
	w, err := Create(path, Meta{})
	require.NoError(t, err)
	const commits, each = 12, 350
	for n := range commits {
		b := series.Block{Kind: series.Arc, Tick: int64(n * each), Step: 1}
		for k := range each {
			b.V, b.I = append(b.V, int32(n*each+k)), append(b.I, int32(-n*each-k))
		}
		for b.Box = range 2 {
			b.Epoch = b.Box
			require.NoError(t, w.Block(&b))
		}
		require.NoError(t, w.Event(series.Event{Kind: series.Remark, Count: int64(n), Text: "a remark long enough to fill pages with remarks"}))
		require.NoError(t, w.Sync())
		if n == commits/2 {
			alterSchema(t, path, "PRAGMA wal_checkpoint(PASSIVE)")
		}
	}
	main, err = os.ReadFile(path)
	require.NoError(t, err)
	log, err = os.ReadFile(path + logSuffix)
	require.NoError(t, err)
	require.NoError(t, w.Close())
	return main, log, 2 * commits * each
}

// readPrefix returns how many samples can be read before the end or a typed
// error; every one of them must be right: sample k of the box that tells the arc is k,
// and sample k of each epoch of another.
func readPrefix(t *testing.T, path string) (samples int, failed error) {
	t.Helper()
	r, err := Open(path)
	if err != nil {
		var e *Error
		require.ErrorAs(t, err, &e)
		return 0, err
	}
	defer func() { require.NoError(t, r.Close()) }()
	next := map[int]int64{} // by epoch of a companion; -1 is the box that tells the arc
	for g, err := range r.Groups() {
		if err != nil {
			var e *Error
			require.ErrorAs(t, err, &e)
			return samples, err
		}
		for k := range g.Blocks {
			b := &g.Blocks[k]
			run := -1
			if b.Box > 0 {
				run = b.Epoch
			}
			for j := range b.Len() {
				want := next[run]
				if b.At(j) != want || int64(b.V[j]) != want || int64(b.I[j]) != -want {
					t.Fatalf("sample %d: tick %d, %d, %d", want, b.At(j), b.V[j], b.I[j])
				}
				next[run]++
				samples++
			}
		}
	}
	return samples, nil
}

// TestOpen_LogCutAnywhere cuts the "-wal" file, as a crash may: what is left is
// a record that verifies, and that can be gone on with.
func TestOpen_LogCutAnywhere(t *testing.T) {
	if testing.Short() {
		t.Skip("it cuts a log in many places")
	}
	main, log, samples := liveCopy(t)
	whole := 0
	for at := 0; at <= len(log); at += 1523 {
		path := filepath.Join(t.TempDir(), "cut.arc")
		require.NoError(t, os.WriteFile(path, main, 0o600))
		require.NoError(t, os.WriteFile(path+logSuffix, log[:at], 0o600))
		n, err := readPrefix(t, path)
		if err != nil {
			requireKind(t, Truncated, err) // too little of the log for the pages that the record has
			continue
		}
		require.NoError(t, Verify(path))
		said := readSpoken(t, path)
		require.Len(t, said.samples[1], len(said.samples[0]), "a commit holds all boxes, or is not there")
		require.GreaterOrEqual(t, n, whole, "a longer log holds no less")
		whole = n
		w, err := Append(path)
		require.NoError(t, err)
		require.Equal(t, int64(n), w.Acknowledged())
		require.NoError(t, w.Close())
		require.NoError(t, Verify(path))
	}
	require.Greater(t, whole, samples*3/4)
}

// TestOpen_CutShortWithItsLog cuts the record itself, with its "-wal" file whole:
// what can still be read is right, and Verify says that something is missing.
func TestOpen_CutShortWithItsLog(t *testing.T) {
	main, log, samples := liveCopy(t)
	path := filepath.Join(t.TempDir(), "cut.arc")
	for at := 0; at < len(main); at += 1021 {
		for _, suffix := range []string{"-shm", logSuffix, ""} {
			require.True(t, ignoreMissing(os.Remove(path+suffix)))
		}
		require.NoError(t, os.WriteFile(path, main[:at], 0o600))
		require.NoError(t, os.WriteFile(path+logSuffix, log, 0o600))
		n, err := readPrefix(t, path)
		if err == nil {
			require.Equal(t, samples, n, "all or an error, cut at %d", at)
		}
		if err := Verify(path); err == nil {
			require.Equal(t, samples, n, "cut at %d", at)
		} else {
			var e *Error
			require.ErrorAs(t, err, &e)
		}
	}
}

func ignoreMissing(err error) bool { return err == nil || errors.Is(err, os.ErrNotExist) }
