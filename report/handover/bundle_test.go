package handover

import (
	"context"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func handed(t *testing.T) folder {
	t.Helper()
	s := newFolder(t)
	_, err := give(t, s, bundleFiles(t))
	require.NoError(t, err)
	return s
}

// fetch takes the bundle out of a store.
func fetch(t *testing.T, s Store) (into string, err error) {
	t.Helper()
	b, err := Read(context.Background(), s, digest)
	if err != nil {
		return "", err
	}
	into = t.TempDir()
	root, err := os.OpenRoot(into)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, root.Close()) })
	return into, b.Fetch(context.Background(), root, func(string) {})
}

func TestFetch(t *testing.T) {
	s := handed(t)
	put(t, s, "a-stranger", "that the manifest does not name")
	into, err := fetch(t, s)
	require.NoError(t, err)
	again := folder(filepath.Dir(into))
	require.NoError(t, os.Rename(into, filepath.Join(string(again), digest)))
	require.Equal(t, get(t, s, ManifestName), get(t, again, ManifestName))
	require.Equal(t, "a photograph", get(t, again, "photographs/"+digest+".png"))
	require.NoFileExists(t, filepath.Join(string(again), digest, "a-stranger"))
}

func TestFetch_WhatIsNotAsTheManifestSays(t *testing.T) {
	for name, c := range map[string]struct{ content, says string }{
		"shorter": {"a pape", "6 bytes, where the manifest says 7"},
		"longer":  {"a paper.", "more than the 7 bytes"},
		"other":   {"A paper", "SHA-256"},
	} {
		t.Run(name, func(t *testing.T) {
			s := handed(t)
			put(t, s, "weld-record.pdf", c.content)
			_, err := fetch(t, s)
			requireKind(t, Differs, err, "weld-record.pdf", c.says)
			b, err := Read(context.Background(), s, digest)
			require.NoError(t, err)
			_, err = b.ReadFile(context.Background(), "weld-record.pdf", 100)
			requireKind(t, Differs, err)
		})
	}
	t.Run("missing", func(t *testing.T) {
		s := handed(t)
		require.NoError(t, os.Remove(filepath.Join(string(s), digest, "weld-record.pdf")))
		_, err := fetch(t, s)
		requireKind(t, Missing, err, "weld-record.pdf")
	})
}

func TestReadBack(t *testing.T) {
	s := handed(t)
	b, err := Read(t.Context(), s, digest)
	require.NoError(t, err)
	var names []string
	require.NoError(t, b.ReadBack(t.Context(), func(name string) { names = append(names, name) }))
	require.Equal(t, []string{"photographs/" + digest + ".png", RecordName, ResultsName, "weld-record.pdf", ManifestName}, names)
	put(t, s, ResultsName, "{ ")
	requireKind(t, Differs, b.ReadBack(t.Context(), func(string) {}), ResultsName)
}

// Whoever changes the bundle while it is read back is noticed by its manifest, which is read last.
func TestReadBack_ManifestGoesMeanwhile(t *testing.T) {
	for name, change := range map[string]func(t *testing.T, s folder){
		"gone": func(t *testing.T, s folder) {
			require.NoError(t, os.Remove(filepath.Join(string(s), digest, ManifestName)))
		},
		"other": func(t *testing.T, s folder) {
			put(t, s, ManifestName, strings.Replace(get(t, s, ManifestName), `"7"`, `"8"`, 1))
		},
	} {
		t.Run(name, func(t *testing.T) {
			s := handed(t)
			b, err := Read(t.Context(), s, digest)
			require.NoError(t, err)
			err = b.ReadBack(t.Context(), func(file string) {
				if file == ManifestName {
					change(t, s)
				}
			})
			var own *Error
			require.ErrorAs(t, err, &own)
			require.Equal(t, map[string]Kind{"gone": Torn, "other": Differs}[name], own.Kind)
		})
	}
}

// What lies behind a link is not of the bundle, wherever the link leads.
func TestFolder_Links(t *testing.T) {
	outside := filepath.Join(t.TempDir(), "paper")
	require.NoError(t, os.WriteFile(outside, []byte("a paper"), 0o600))
	for name, to := range map[string]string{"out of the store": outside, "within it": "results.json"} {
		t.Run(name, func(t *testing.T) {
			s := handed(t)
			file := filepath.Join(string(s), digest, "weld-record.pdf")
			require.NoError(t, os.Remove(file))
			require.NoError(t, os.Symlink(to, file))
			_, err := fetch(t, s)
			requireKind(t, Unfit, err, "a link")
		})
	}
	t.Run("the bundle itself", func(t *testing.T) {
		s := handed(t)
		require.NoError(t, os.Rename(filepath.Join(string(s), digest), filepath.Join(string(s), "x")))
		require.NoError(t, os.Symlink("x", filepath.Join(string(s), digest)))
		_, err := fetch(t, s)
		requireKind(t, Unfit, err, "a link")
	})
}

func TestRead_AnotherBundlesManifest(t *testing.T) {
	s := handed(t)
	other := strings.Repeat("ff", digestSize)
	require.NoError(t, os.Rename(filepath.Join(string(s), digest), filepath.Join(string(s), other)))
	_, err := Read(context.Background(), s, other)
	requireKind(t, Unfit, err, "the manifest of another bundle, "+digest)
	_, err = Read(context.Background(), s, digest)
	requireKind(t, Missing, err, "no such bundle")
}

func TestOpenAt(t *testing.T) {
	s := handed(t)
	found, name, err := OpenAt(filepath.Join(string(s), digest) + "/")
	require.NoError(t, err)
	require.Equal(t, digest, name)
	_, err = Read(context.Background(), found, name)
	require.NoError(t, err)
	_, _, err = OpenAt(string(s))
	requireKind(t, Unnamed, err, "named by its digest")
	for _, where := range []string{"", "ftp://x/y"} {
		_, err = Open(where)
		requireKind(t, Unnamed, err)
	}
}

// A checked file tells no end before it is known to be right.
func TestChecked_InSmallPieces(t *testing.T) {
	sum, err := SumOf(strings.NewReader("a paper"))
	require.NoError(t, err)
	require.Equal(t, int64(7), sum.Size)
	for content, fits := range map[string]bool{"a paper": true, "A paper": false, "a pape": false, "a paperx": false, "": false} {
		c := newChecked(io.NopCloser(&bytewise{content}), sum, "here")
		read, err := io.ReadAll(c)
		if fits {
			require.NoError(t, err)
			require.Equal(t, content, string(read))
		} else {
			requireKind(t, Differs, err)
		}
	}
}

// bytewise gives one byte at a time.
type bytewise struct{ left string }

func (b *bytewise) Read(p []byte) (int, error) {
	if b.left == "" {
		return 0, io.EOF
	}
	n := copy(p[:1], b.left)
	b.left = b.left[n:]
	return n, nil
}
