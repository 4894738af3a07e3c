package workshop

import (
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/cmd/internal/bundling"
	"arctally/report/handover"
	"arctally/report/page"
	"arctally/report/sheet"
)

// Who serves a folder and names a store has closed records in it by itself, and the pages say where each stands.
func TestServe_HandsOver(t *testing.T) {
	folder, store := t.TempDir(), filepath.Join(t.TempDir(), "store")
	for name, of := range map[string]string{"closed": "version-4-capture", "open": "version-3-box"} {
		content, err := os.ReadFile("../../../testdata/record/" + of + ".arctally")
		require.NoError(t, err)
		file := filepath.Join(folder, name+".arctally")
		require.NoError(t, os.WriteFile(file, content, 0o600))
		long := time.Now().Add(-time.Hour)
		require.NoError(t, os.Chtimes(file, long, long))
	}
	s := serveFolder(t, folder, Options{HandOver: store})
	rows := func() map[string]page.RecordRow {
		var house page.House
		s.ask(http.MethodGet, "/house", http.StatusOK, nil, &house)
		found := map[string]page.RecordRow{}
		for _, row := range house.Records {
			found[row.Record] = row
		}
		return found
	}
	require.Eventually(t, func() bool {
		found := rows()
		closed, open := found["closed"].Handed, found["open"].Handed
		return closed != nil && closed.State == "given" && open != nil && open.State == "not closed"
	}, longest, 20*time.Millisecond)
	found := rows()
	at, err := handover.Open(store)
	require.NoError(t, err)
	digests, err := handover.Digests(t.Context(), at)
	require.NoError(t, err)
	require.Equal(t, digests, []string{*found["closed"].Handed.Bundle})
	require.NotContains(t, *found["open"].Handed.Says, folder, "nothing is said of the disk")
	require.Contains(t, s.told.String(), "closed records are handed over into "+store)
}

// A folder without a store says nothing of one.
func TestServe_HandsNothingOver(t *testing.T) {
	folder := t.TempDir()
	content, err := os.ReadFile("../../../testdata/record/version-4-capture.arctally")
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(folder, "closed.arctally"), content, 0o600))
	s := serveFolder(t, folder, Options{})
	var house page.House
	s.ask(http.MethodGet, "/house", http.StatusOK, nil, &house)
	require.Nil(t, house.Records[0].Handed)
}

// What was removed here is on the pages as that: neither broken nor a record that nobody has heard of.
func TestServe_RemovedHere(t *testing.T) {
	folder := t.TempDir()
	content, err := os.ReadFile("../../../testdata/record/version-4-capture.arctally")
	require.NoError(t, err)
	at, err := handover.Open(filepath.Join(t.TempDir(), "store"))
	require.NoError(t, err)
	var last bundling.Removed
	for k := range mostRemoved + 3 {
		file := filepath.Join(folder, fmt.Sprintf("job-%02d.arctally", k))
		require.NoError(t, os.WriteFile(file, content, 0o600))
		_, err = bundling.Hand(t.Context(), file, at, t.TempDir(), func(string) {})
		require.NoError(t, err)
		last, err = bundling.Remove(t.Context(), bundling.Removing{File: file, From: at, Told: func(string) {}, Now: func() time.Time { return time.Unix(1_790_000_000+int64(k), 0) }})
		require.NoError(t, err)
	}
	s := serveFolder(t, folder, Options{})
	var house page.House
	s.ask(http.MethodGet, "/house", http.StatusOK, nil, &house)
	require.Empty(t, house.Records)
	require.Len(t, house.Removed, mostRemoved)
	require.Equal(t, 3, house.RemovedMore)
	require.Equal(t, page.RemovedRow{Record: "job-22", Job: last.Job, At: sheet.Timestamp(last.At), Bundle: last.Bundle}, house.Removed[0])
	require.Equal(t, "job-21", house.Removed[1].Record)

	var trouble struct{ Error, Hint string }
	s.ask(http.MethodGet, "/records/job-22", http.StatusNotFound, nil, &trouble)
	require.Contains(t, trouble.Error, "record job-22: it was removed here ")
	require.Contains(t, trouble.Error, "the store has it as bundle "+last.Bundle)
	require.NotContains(t, trouble.Error+trouble.Hint, at.String(), "nothing is said of the disk")
	require.Contains(t, trouble.Hint, "arctally take")
	s.ask(http.MethodGet, "/records/job-99", http.StatusNotFound, nil, &trouble)
	require.NotContains(t, trouble.Error, "removed")
}
