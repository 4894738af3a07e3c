package handover

import (
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func newFolder(t *testing.T) folder {
	t.Helper()
	return folder(filepath.Join(t.TempDir(), "store"))
}

func TestGive_IsReadBack(t *testing.T) {
	s := newFolder(t)
	given, err := give(t, s, bundleFiles(t))
	require.NoError(t, err)
	require.Equal(t, 5, given.Wrote)
	ctx := context.Background()
	found, err := Digests(ctx, s)
	require.NoError(t, err)
	require.Equal(t, []string{digest}, found)
	b, err := Read(ctx, s, digest)
	require.NoError(t, err)
	require.Equal(t, subject(), b.Subject)
	require.Len(t, b.Files, 4)
	for name, want := range map[string]string{RecordName: "a record", ResultsName: "{}", "photographs/" + digest + ".png": "a photograph"} {
		content, err := b.ReadFile(ctx, name, 1000)
		require.NoError(t, err)
		require.Equal(t, want, string(content))
	}
	_, err = b.ReadFile(ctx, RecordName, 7)
	requireKind(t, Unfit, err, "8 bytes, where 7 are the most")
	_, err = b.ReadFile(ctx, PassesName, 7)
	requireKind(t, Missing, err)
}

func TestGive_TwiceIsNothing(t *testing.T) {
	s, files := newFolder(t), bundleFiles(t)
	has := func() bool {
		has, err := Has(context.Background(), s, digest, files[0].Path)
		require.NoError(t, err)
		return has
	}
	require.False(t, has(), "nothing is there")
	put(t, s, RecordName, "a record")
	require.False(t, has(), "it is torn")
	_, err := give(t, s, files)
	require.NoError(t, err)
	require.True(t, has())
	given, err := give(t, s, files)
	require.NoError(t, err)
	require.Equal(t, Given{}, given)
	put(t, s, ResultsName, "{} ")
	require.False(t, has(), "somebody changed it")
	require.NoError(t, os.Remove(filepath.Join(string(s), digest, ResultsName)))
	require.False(t, has(), "somebody took a file away")
	put(t, s, ResultsName, "{}")
	require.True(t, has())
	require.NoError(t, os.WriteFile(files[0].Path, []byte("A record"), 0o600))
	_, err = Has(context.Background(), s, digest, files[0].Path)
	requireKind(t, There, err, RecordName, "with another one")
}

// Wherever it was torn, it goes on, and what comes of it is the same to the byte.
func TestGive_TornGoesOn(t *testing.T) {
	whole := newFolder(t)
	_, err := give(t, whole, bundleFiles(t))
	require.NoError(t, err)
	for broken := range 4 {
		s, files := newFolder(t), bundleFiles(t)
		gone := errors.New("gone")
		if broken == 0 {
			files[0].Path += "-not-there"
		} else {
			files[broken].Write = func(io.Writer) error { return gone }
		}
		_, err := give(t, s, files)
		require.Error(t, err)
		_, err = Read(context.Background(), s, digest)
		if broken == 0 {
			requireKind(t, Missing, err)
		} else {
			requireKind(t, Torn, err, "no manifest")
		}
		given, err := give(t, s, bundleFiles(t))
		require.NoError(t, err)
		require.Equal(t, 5-broken, given.Wrote)
		require.Equal(t, get(t, whole, ManifestName), get(t, s, ManifestName))
		require.NoError(t, os.Remove(filepath.Join(string(s), digest, "weld-record.pdf")))
		given, err = give(t, s, bundleFiles(t))
		require.NoError(t, err)
		require.Equal(t, 1, given.Wrote, "what somebody took away is put back")
	}
}

// A bundle that an older version of the program made has fewer files: it is whole, and what is missing of it
// is put back without anything that it never had, whatever this version says of its files.
func TestGive_OlderBundleGoesOn(t *testing.T) {
	s, files := newFolder(t), bundleFiles(t)
	_, err := give(t, s, files)
	require.NoError(t, err)
	before := get(t, s, ManifestName)
	require.NoError(t, os.Remove(filepath.Join(string(s), digest, ResultsName)))
	files[1].About, files[1].Format = "said in other words", "text/x-other"
	given, err := give(t, s, append(files, text("certificate.pdf", "a certificate")))
	require.NoError(t, err)
	require.Equal(t, 1, given.Wrote)
	require.Equal(t, before, get(t, s, ManifestName))
	require.Equal(t, "{}", get(t, s, ResultsName))
	require.NoFileExists(t, filepath.Join(string(s), digest, "certificate.pdf"))
}

func TestGive_NothingIsWrittenOver(t *testing.T) {
	for name, there := range map[string]string{"of another size": "another paper", "of the same size": "A paper"} {
		t.Run(name, func(t *testing.T) {
			s := newFolder(t)
			put(t, s, "weld-record.pdf", there)
			_, err := give(t, s, bundleFiles(t))
			requireKind(t, There, err, "weld-record.pdf", "there already")
			require.Equal(t, there, get(t, s, "weld-record.pdf"))
			_, err = Read(context.Background(), s, digest)
			requireKind(t, Torn, err)
		})
	}
	t.Run("with its manifest", func(t *testing.T) {
		s, files := newFolder(t), bundleFiles(t)
		_, err := give(t, s, files)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(files[0].Path, []byte("A record"), 0o600))
		_, err = give(t, s, files)
		requireKind(t, There, err, RecordName, "with another one")
		require.Equal(t, "a record", get(t, s, RecordName))
	})
}

func TestFolder_PutNeverTwice(t *testing.T) {
	s := newFolder(t)
	content, err := os.Open(bundleFiles(t)[0].Path)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, content.Close()) })
	sum, err := SumOf(content)
	require.NoError(t, err)
	e := Entry{Name: RecordName, Sum: sum}
	requireKind(t, Failed, s.Put(context.Background(), digest, e, content), "not what was to be")
	for _, want := range []Kind{0, There} {
		_, err = content.Seek(0, io.SeekStart)
		require.NoError(t, err)
		if err = s.Put(context.Background(), digest, e, content); want == 0 {
			require.NoError(t, err)
		} else {
			requireKind(t, want, err)
		}
	}
	left, err := os.ReadDir(filepath.Join(string(s), digest))
	require.NoError(t, err)
	require.Len(t, left, 1, "no draft stays")
	require.Equal(t, "a record", get(t, s, RecordName))
}

// A crash leaves drafts: they are no files of a bundle, and what is old of them goes.
func TestFolder_Drafts(t *testing.T) {
	s := newFolder(t)
	put(t, s, ".draft-1-2", "half")
	put(t, s, "photographs/.draft-3-4", "half")
	old := time.Now().Add(-2 * oldDraft)
	require.NoError(t, os.Chtimes(filepath.Join(string(s), digest, ".draft-1-2"), old, old))
	sizes, err := s.Sizes(context.Background(), digest)
	require.NoError(t, err)
	require.Empty(t, sizes)
	_, err = give(t, s, bundleFiles(t))
	require.NoError(t, err)
	require.NoFileExists(t, filepath.Join(string(s), digest, ".draft-1-2"))
	require.FileExists(t, filepath.Join(string(s), digest, "photographs/.draft-3-4"), "somebody may be writing it")
}

func TestGive_NobodyWaits(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := Give(ctx, newFolder(t), t.TempDir(), subject(), bundleFiles(t), func(string) {})
	require.ErrorIs(t, err, context.Canceled)
}
