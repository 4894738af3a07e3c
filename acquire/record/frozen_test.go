package record

import (
	"encoding/hex"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// frozenHeads are the heads of the chains of the records in testdata/record, which
// released code wrote, and what the second program read of them when they came there.
var frozenHeads = map[string]string{
	"version-1-box.arctally":     "f32af03185720c5c8a9ab0903888aed3cf42027f456dccdaa0813cda033a9b7e",
	"version-1-capture.arctally": "90a0f6da313c75def2d2360bf5c8513eea71ad28bd095558f437a9be7ef4a555",
	"version-2-box.arctally":     "9d604ce7b3e669c49a317c00330dee46cd5440e312172eb371afe09341a44e58",
	"version-2-capture.arctally": "a1feebe8a3e1593046ba2408ee25cf75f1d98e84b11d2298ea7badce37942010",
	"version-3-box.arctally":     "75d485090c9d66e997379de1e140fe24796f85d5924d16007e5b4687ae6a9fab",
	"version-4-box.arctally":     "8b4f5bd68f09b5778a1a992d5628afffa72541e38d1b8e3c491ebd215fccff76",
	"version-4-capture.arctally": "0f53a8abd47dcf7f2e55d597234e5dc49118ad08058129f5121c660e561c717c",
}

const frozenFolder = "../../testdata/record"

// frozen returns a copy of a frozen record.
func frozen(t *testing.T, name string) string {
	t.Helper()
	file, err := os.ReadFile(filepath.Join(frozenFolder, name))
	require.NoError(t, err)
	path := filepath.Join(t.TempDir(), name)
	require.NoError(t, os.WriteFile(path, file, 0o600))
	return path
}

// oldRecord returns a copy of a record of version 1.
func oldRecord(t *testing.T) string { return frozen(t, "version-1-capture.arctally") }

// versionOf returns the version of a record's format.
func versionOf(t *testing.T, path string) int64 {
	t.Helper()
	r, err := Open(path)
	require.NoError(t, err)
	version, err := r.version()
	require.NoError(t, err)
	require.NoError(t, r.Close())
	return version
}

func TestFrozen_AreReadAsTheyAre(t *testing.T) {
	names, err := filepath.Glob(filepath.Join(frozenFolder, "*.arctally"))
	require.NoError(t, err)
	require.Len(t, names, len(frozenHeads))
	for name, head := range frozenHeads {
		t.Run(name, func(t *testing.T) {
			path := frozen(t, name)
			before, err := os.ReadFile(path)
			require.NoError(t, err)
			require.NoError(t, Verify(path))
			r, err := Open(path)
			require.NoError(t, err)
			got, err := r.Fingerprint()
			require.NoError(t, err)
			require.Equal(t, head, got)
			version := strings.Split(name, "-")[1]
			require.Equal(t, version, string('0'+rune(versionOf(t, path))))
			entries, err := r.Entries()
			require.NoError(t, err)
			require.Len(t, entries, map[string]int{"version-2-box.arctally": 2, "version-3-box.arctally": 1, "version-4-box.arctally": 2}[name])
			_, _, err = r.Photograph("00")
			requireKind(t, Missing, err)
			calibrations, err := r.Calibrations()
			require.NoError(t, err)
			require.Len(t, calibrations, 2)
			require.NoError(t, r.Close())
			after, err := os.ReadFile(path)
			require.NoError(t, err)
			require.Equal(t, before, after, "reading changes no byte")
			entriesBeside, err := os.ReadDir(filepath.Dir(path))
			require.NoError(t, err)
			require.Len(t, entriesBeside, 1, "and leaves nothing beside it")
		})
	}
}

// The box lays the same arc from the same seed, whichever program recorded it.
func TestFrozen_BothVersionsHoldTheSameSamples(t *testing.T) {
	for _, source := range []string{"box", "capture"} {
		first, second := frozen(t, "version-1-"+source+".arctally"), frozen(t, "version-2-"+source+".arctally")
		require.Equal(t, samplesHash(t, first), samplesHash(t, second))
	}
}

// Who adds to a frozen record brings it to the version of today: what was there
// keeps its hashes and its samples.
func TestFrozen_GoOn(t *testing.T) {
	for name := range frozenHeads {
		t.Run(name, func(t *testing.T) {
			path := frozen(t, name)
			samples, old, version := samplesHash(t, path), heads(t, path), versionOf(t, path)
			known := len(entriesOf(t, path))
			w, err := Amend(path)
			require.NoError(t, err)
			number, err := w.Entry("disposition", "Inspector 1", time.Unix(7, 9).UTC(), "{}")
			require.NoError(t, err)
			require.Equal(t, int64(known+1), number)
			digest1, err := w.Photograph("image/png", []byte("not quite"))
			require.NoError(t, err)
			require.NoError(t, w.Close())
			require.NoError(t, Verify(path))
			require.Equal(t, int64(latestVersion), versionOf(t, path))
			require.Equal(t, samples, samplesHash(t, path))
			now := heads(t, path)
			require.Equal(t, old, now[:len(old)], "no hash changes")
			require.Equal(t, frozenHeads[name], hex.EncodeToString(now[len(old)-1]))
			added := 1
			if version < latestVersion {
				added++ // the group that makes the tables
			}
			require.GreaterOrEqual(t, len(now), len(old)+added)
			r, err := Open(path)
			require.NoError(t, err)
			_, payload, err := r.Photograph(digest1)
			require.NoError(t, err)
			require.Equal(t, "not quite", string(payload))
			require.NoError(t, r.Close())
		})
	}
}
