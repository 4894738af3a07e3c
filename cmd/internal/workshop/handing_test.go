package workshop

import (
	"net/http"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/report/handover"
	"arctally/report/page"
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
