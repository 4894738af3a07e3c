package bundling

import (
	"bytes"
	"crypto/rand"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
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

// What is not as it was handed over, or would leave its folder, is not taken from any store, and nothing of it is
// left anywhere.
func TestTake_Refuses(t *testing.T) {
	manifest := func(change func(m *handover.Manifest)) func([]byte) []byte {
		return func(text []byte) []byte {
			m, err := handover.ParseManifest("here", text)
			require.NoError(t, err)
			change(m)
			return m.Bytes()
		}
	}
	called := func(name string) func([]byte) []byte {
		return manifest(func(m *handover.Manifest) {
			sum, err := handover.SumOf(strings.NewReader("out"))
			require.NoError(t, err)
			m.Files = append(m.Files, handover.Entry{Name: name, Sum: sum})
		})
	}
	const noName = "no file of a bundle has such a name"
	for name, c := range map[string]struct {
		file   string
		change func([]byte) []byte
		kind   handover.Kind
		says   string
	}{
		"a file with another digest":     {handover.PassesName, func(content []byte) []byte { content[9] ^= 1; return content }, handover.Differs, "SHA-256"},
		"a manifest with another digest": {handover.ManifestName, manifest(func(m *handover.Manifest) { m.Files[0].SHA256 = hexOf('0') }), handover.Differs, "SHA-256"},
		"the manifest of another bundle": {handover.ManifestName, manifest(func(m *handover.Manifest) { m.Digest = hexOf('0') }), handover.Unfit, "the manifest of another bundle"},
		"another version":                {handover.ManifestName, later, handover.Newer, "version 2"},
		"a size beyond all":              {handover.ManifestName, manifest(func(m *handover.Manifest) { m.Files[0].Size = 1 << 62 }), handover.Differs, "where the manifest says"},
		"no record": {handover.ManifestName, manifest(func(m *handover.Manifest) {
			m.Files = slices.DeleteFunc(m.Files, func(e handover.Entry) bool { return e.Name == handover.RecordName })
		}), handover.Unfit, "no record.arctally"},
		"up":                        {handover.ManifestName, called("../out"), handover.Unfit, noName},
		"up within":                 {handover.ManifestName, called("seals/../../out"), handover.Unfit, noName},
		"from the root":             {handover.ManifestName, called("/tmp/out"), handover.Unfit, noName},
		"a drive":                   {handover.ManifestName, called(`c:\out`), handover.Unfit, noName},
		"a backslash":               {handover.ManifestName, called(`..\out`), handover.Unfit, noName},
		"a stream of another file":  {handover.ManifestName, called("record.arctally:out"), handover.Unfit, noName},
		"a device":                  {handover.ManifestName, called("seals/nul.txt"), handover.Unfit, noName},
		"a device with a figure":    {handover.ManifestName, called("lpt1"), handover.Unfit, noName},
		"the same in large letters": {handover.ManifestName, called("Record.arctally"), handover.Unfit, noName},
		"a null":                    {handover.ManifestName, called("out\x00.txt"), handover.Unfit, noName},
		"long":                      {handover.ManifestName, called(strings.Repeat("o", 4000)), handover.Unfit, noName},
		"deep":                      {handover.ManifestName, called(strings.Repeat("o/", 40) + "o"), handover.Unfit, noName},
		"in a file":                 {handover.ManifestName, called("record.arctally/out"), handover.Unfit, "would lie in the file"},
		"twice":                     {handover.ManifestName, called(handover.RecordName), handover.Unfit, "twice"},
		"the manifest":              {handover.ManifestName, called(handover.ManifestName), handover.Unfit, "twice"},
		"what is not there":         {handover.ManifestName, called("out.txt"), handover.Missing, "out.txt"},
	} {
		t.Run(name, func(t *testing.T) {
			inEach(t, func(t *testing.T, s stored) {
				_, digest := handedRecord(t, s)
				s.change(digest, c.file, c.change)
				around := t.TempDir()
				into := filepath.Join(around, "jobs")
				_, err := Take(t.Context(), s.String()+"/"+digest, into, func(string) {})
				var own *handover.Error
				require.ErrorAs(t, err, &own)
				require.Equal(t, c.kind, own.Kind, err.Error())
				require.ErrorContains(t, err, c.says)
				require.NotEmpty(t, own.Hint())
				require.NoError(t, filepath.WalkDir(around, func(name string, e fs.DirEntry, err error) error {
					require.NoError(t, err)
					require.Contains(t, []string{around, into}, name)
					return nil
				}))
			})
		})
	}
}

// Whatever else lies in a bundle, links among it, is not taken.
func TestTake_Strangers(t *testing.T) {
	s := inFolder(t)
	_, digest := handedRecord(t, s)
	at := filepath.Join(s.String(), digest)
	require.NoError(t, os.WriteFile(filepath.Join(at, "stranger.txt"), nil, 0o600))
	require.NoError(t, os.Symlink(t.TempDir(), filepath.Join(at, "out")))
	taken, err := Take(t.Context(), at, t.TempDir(), func(string) {})
	require.NoError(t, err)
	require.NoFileExists(t, filepath.Join(taken.Folder, "stranger.txt"))
	require.NoDirExists(t, filepath.Join(taken.Folder, "out"))
	require.NoError(t, os.Rename(filepath.Join(at, "seals"), filepath.Join(at, "kept")))
	require.NoError(t, os.Symlink("kept", filepath.Join(at, "seals")))
	into := t.TempDir()
	_, err = Take(t.Context(), at, into, func(string) {})
	require.ErrorContains(t, err, "a link")
	left, err := os.ReadDir(into)
	require.NoError(t, err)
	require.Empty(t, left)
}
