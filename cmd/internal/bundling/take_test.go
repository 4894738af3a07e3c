package bundling

import (
	"bytes"
	"crypto/rand"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/record"
	"arctally/acquire/seal"
	"arctally/report/handover"
)

// A bundle of an older version of the program, which has no certificate of its own, is taken as it was, is
// not handed over again, and lets its record go.
func TestTake_OlderBundle(t *testing.T) {
	inEach(t, func(t *testing.T, s stored) {
		file, digest := handedRecord(t, s)
		const later = "certificate.pdf"
		s.change(digest, later, func(content []byte) []byte {
			require.NotEmpty(t, content)
			return nil
		})
		s.change(digest, handover.ManifestName, func(text []byte) []byte {
			m, err := handover.ParseManifest("here", text)
			require.NoError(t, err)
			m.Files = slices.DeleteFunc(m.Files, func(e handover.Entry) bool { return e.Name == later })
			return m.Bytes()
		})
		handed, err := Hand(t.Context(), file, s, t.TempDir(), func(string) {})
		require.NoError(t, err)
		require.True(t, handed.Before)
		taken, err := Take(t.Context(), s.String()+"/"+digest, t.TempDir(), func(string) {})
		require.NoError(t, err)
		require.NoFileExists(t, filepath.Join(taken.Folder, later))
		_, err = remove(file, s, false)
		require.NoError(t, err)
	})
}

// Another state of the same record, as long as the first, is not the one by which the bundle is named,
// whatever the manifest says.
func TestTake_AnotherStateOfTheRecord(t *testing.T) {
	content, err := os.ReadFile("../../../testdata/record/version-4-capture.arctally")
	require.NoError(t, err)
	key, err := seal.Folder(t.TempDir()).Machine()
	require.NoError(t, err)
	state := func() string {
		file := filepath.Join(t.TempDir(), "boom.arctally")
		require.NoError(t, os.WriteFile(file, content, 0o600))
		w, err := record.Amend(file)
		require.NoError(t, err)
		w.SealWith(key)
		_, err = w.Photograph("image/png", []byte(rand.Text()))
		require.NoError(t, err)
		require.NoError(t, w.Close())
		return file
	}
	at, into := t.TempDir(), t.TempDir()
	store, err := handover.Open(at)
	require.NoError(t, err)
	handed, err := Hand(t.Context(), state(), store, t.TempDir(), func(string) {})
	require.NoError(t, err)
	b, err := handover.Read(t.Context(), store, handed.Digest)
	require.NoError(t, err)
	other, err := os.ReadFile(state())
	require.NoError(t, err)
	for k := range b.Files {
		if b.Files[k].Name == handover.RecordName {
			b.Files[k].Sum, err = handover.SumOf(bytes.NewReader(other))
			require.NoError(t, err)
		}
	}
	where := filepath.Join(at, handed.Digest)
	require.NoError(t, os.WriteFile(filepath.Join(where, handover.RecordName), other, 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(where, handover.ManifestName), b.Bytes(), 0o600))
	_, err = Take(t.Context(), where, into, func(string) {})
	var own *handover.Error
	require.ErrorAs(t, err, &own)
	require.Equal(t, handover.Differs, own.Kind)
	require.ErrorContains(t, err, "another one than the bundle is named by")
	left, err := os.ReadDir(into)
	require.NoError(t, err)
	require.Empty(t, left, "nothing of it was taken")
}
