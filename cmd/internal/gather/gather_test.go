package gather

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/report/fleet"
)

// gathering takes in, and remembers what it heard.
func gathering(t *testing.T) (g *Gathering, done *[]fleet.TakenIn, refused *[]string) {
	t.Helper()
	f, err := fleet.Open(t.Context(), t.TempDir())
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, f.Close()) })
	done, refused = new([]fleet.TakenIn), new([]string)
	return &Gathering{
		Into: f, Now: time.Now, Reading: func(string, float64) {},
		Done:    func(one fleet.TakenIn) { *done = append(*done, one) },
		Refused: func(err error) { *refused = append(*refused, err.Error()) },
	}, done, refused
}

// bundle makes one with results and a manifest.
func bundle(t *testing.T, store, digest, results string) {
	t.Helper()
	folder := filepath.Join(store, digest)
	require.NoError(t, os.MkdirAll(folder, 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(folder, manifestFile), []byte("{}"), 0o644))
	if results != "" {
		require.NoError(t, os.WriteFile(filepath.Join(folder, resultsFile), []byte(results), 0o644))
	}
}

// More bundles than one transaction takes are taken in, by the names of their folders where
// the results of an older program do not say of which state they are; what leads out of the
// store, or is not there, is told, and the rest goes on.
func TestTake_bundles(t *testing.T) {
	store := filepath.Join(t.TempDir(), "a [store] * of ?")
	for k := range atOnce + 3 {
		bundle(t, store, strings.Repeat("0", 62)+string("0123456789abcdef"[k/16])+string("0123456789abcdef"[k%16]), `{"record": "record.arctally", "passes": [{"number": 1}]}`)
	}
	outside := filepath.Join(t.TempDir(), "outside.json")
	require.NoError(t, os.WriteFile(outside, []byte(`{"record": "outside.arctally"}`), 0o644))
	led, missing := strings.Repeat("e", 64), strings.Repeat("f", 64)
	bundle(t, store, led, "")
	require.NoError(t, os.Symlink(outside, filepath.Join(store, led, resultsFile)))
	bundle(t, store, missing, "")
	require.NoError(t, os.Mkdir(filepath.Join(store, "photographs"), 0o755))

	g, done, refused := gathering(t)
	require.EqualError(t, g.Take(t.Context(), []string{store}), "not taken in: 2")
	require.Len(t, *done, atOnce+3)
	first := (*done)[0]
	require.Equal(t, fleet.New, first.Outcome)
	require.Equal(t, strings.Repeat("0", 64), first.Digest)
	require.Equal(t, first.Digest+"/record.arctally", first.Record)
	require.Len(t, *refused, 2)
	require.Contains(t, (*refused)[0], "path escapes from parent")
	require.Contains(t, (*refused)[1], "no such file")
}

// A folder is no pattern, whatever its name.
func TestTake_records(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "jobs [2026]*")
	require.NoError(t, os.Mkdir(folder, 0o755))
	text, err := os.ReadFile("../../../testdata/record/version-4-capture.arctally")
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(folder, "stick.arctally"), text, 0o644))
	g, done, refused := gathering(t)
	require.NoError(t, g.Take(t.Context(), []string{folder}))
	require.Empty(t, *refused)
	require.Len(t, *done, 1)
	require.Equal(t, "stick.arctally", (*done)[0].Record)
}

// What was gathered when it is ended is whole, and nothing is half there.
func TestTake_ended(t *testing.T) {
	store := t.TempDir()
	bundle(t, store, strings.Repeat("0", 64), `{"record": "record.arctally"}`)
	g, done, _ := gathering(t)
	ctx, end := context.WithCancel(t.Context())
	g.Reading = func(string, float64) { end() }
	require.ErrorIs(t, g.Take(ctx, []string{store}), context.Canceled)
	require.Empty(t, *done)
	changes, err := g.Into.Since(t.Context(), time.Time{}, 1)
	require.NoError(t, err)
	require.Zero(t, changes.InAll)
}
