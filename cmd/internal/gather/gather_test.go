package gather

import (
	"context"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/report/fleet"
	"arctally/report/handover"
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
		Refused: func(name string, why error) { *refused = append(*refused, name+": "+why.Error()) },
	}, done, refused
}

// bundle hands one over, with these results.
func bundle(t *testing.T, store, digest, results string) {
	t.Helper()
	record := filepath.Join(t.TempDir(), "a.arctally")
	require.NoError(t, os.WriteFile(record, []byte("a record"), 0o600))
	into, err := handover.Open(store)
	require.NoError(t, err)
	_, err = handover.Give(t.Context(), into, t.TempDir(), handover.Subject{Digest: digest, Record: digest, Commits: 1, Job: "a job", Procedure: "a procedure", Closed: time.Unix(1_770_000_000, 0).UTC()}, []handover.File{
		{Name: handover.RecordName, Format: "application/vnd.sqlite3", About: "the record", Path: record},
		{Name: handover.ResultsName, Format: "application/json", About: "the results", Write: func(w io.Writer) error {
			_, err := io.WriteString(w, results)
			return err
		}},
	}, func(string) {})
	require.NoError(t, err)
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
	altered, led, missing := strings.Repeat("d", 64), strings.Repeat("e", 64), strings.Repeat("f", 64)
	results := func(digest string) string { return filepath.Join(store, digest, handover.ResultsName) }
	for _, digest := range []string{altered, led, missing} {
		bundle(t, store, digest, `{"record": "record.arctally", "job": "a"}`)
		require.NoError(t, os.Remove(results(digest)))
	}
	require.NoError(t, os.WriteFile(results(altered), []byte(`{"record": "record.arctally", "job": "b"}`), 0o600))
	require.NoError(t, os.Symlink(outside, results(led)))
	require.NoError(t, os.Mkdir(filepath.Join(store, "photographs"), 0o755))

	g, done, refused := gathering(t)
	require.EqualError(t, g.Take(t.Context(), []string{store}), "not taken in: 3")
	require.Len(t, *done, atOnce+3)
	first := (*done)[0]
	require.Equal(t, fleet.New, first.Outcome)
	require.Equal(t, strings.Repeat("0", 64), first.Digest)
	require.Equal(t, first.Digest+"/record.arctally", first.Record)
	require.Len(t, *refused, 3)
	for k, digest := range []string{altered, led, missing} {
		require.Contains(t, (*refused)[k], digest+"/"+handover.ResultsName, "what is not as the manifest says is named")
	}
}

// What was taken in before is not fetched again, whatever lies there now.
func TestTake_again(t *testing.T) {
	store := t.TempDir()
	digest := strings.Repeat("a", 64)
	bundle(t, store, digest, `{"record": "record.arctally"}`)
	g, done, refused := gathering(t)
	require.NoError(t, g.Take(t.Context(), []string{store}))
	require.NoError(t, os.Remove(filepath.Join(store, digest, handover.ResultsName)))
	require.NoError(t, g.Take(t.Context(), []string{store}))
	require.Empty(t, *refused)
	name := digest + "/" + handover.RecordName
	require.Equal(t, []fleet.TakenIn{{Record: name, Digest: digest, Outcome: fleet.New}, {Record: name, Digest: digest, Outcome: fleet.Already}}, *done)
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
	g.Reading = func(name string, _ float64) { t.Errorf("%s is read again", name) }
	require.NoError(t, g.Take(t.Context(), []string{folder}))
	require.Equal(t, fleet.Already, (*done)[1].Outcome)
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

// gone are bundles in a store that cannot be reached any more after the first of them.
type gone struct{ asked []string }

func (*gone) Digests(context.Context) ([]string, error) { return nil, nil }

func (g *gone) Results(_ context.Context, digest string) ([]byte, error) {
	if g.asked = append(g.asked, digest); len(g.asked) == 1 {
		return []byte(`{"record": "record.arctally"}`), nil
	}
	return nil, &handover.Error{Kind: handover.Unreachable, Where: "s3://repairs", Text: "the store cannot be reached"}
}

// Where the store fails, each of thousands of bundles would be waited for in vain: the first one ends it, and
// what came before is taken in.
func TestTake_theStoreIsGone(t *testing.T) {
	g, done, refused := gathering(t)
	from := new(gone)
	err := g.bundles(t.Context(), "s3://repairs", from, []string{strings.Repeat("a", 64), strings.Repeat("b", 64), strings.Repeat("c", 64)})
	require.ErrorContains(t, err, "the store cannot be reached")
	require.Len(t, from.asked, 2)
	require.Empty(t, *refused)
	require.NoError(t, g.flush(t.Context()))
	require.Len(t, *done, 1)
}
