package bundling

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/report/handover"
	"arctally/report/handover/storetest"
)

// stored is a store of a test, whose files it can change behind everybody's back.
type stored struct {
	handover.Store
	change func(bundle, name string, change func([]byte) []byte) // nil takes the file away
	vanish func()
}

// inEach runs a test over a store in a folder, and over one behind S3.
func inEach(t *testing.T, test func(t *testing.T, s stored)) {
	t.Run("folder", func(t *testing.T) { test(t, inFolder(t)) })
	t.Run("objects", func(t *testing.T) { test(t, inMemory(t)) })
}

func inFolder(t *testing.T) stored {
	t.Helper()
	at := filepath.Join(t.TempDir(), "store")
	opened, err := handover.Open(at)
	require.NoError(t, err)
	return stored{
		Store: opened,
		change: func(bundle, name string, change func([]byte) []byte) {
			file := filepath.Join(at, bundle, name)
			content, err := os.ReadFile(file)
			require.NoError(t, err)
			require.NoError(t, os.Remove(file))
			if content = change(content); content != nil {
				require.NoError(t, os.WriteFile(file, content, 0o600))
			}
		},
		vanish: func() { require.NoError(t, os.Rename(at, at+"-elsewhere")) },
	}
}

func inMemory(t *testing.T) stored {
	t.Helper()
	m := storetest.NewMemory(t)
	storetest.Use(t, m)
	opened, err := handover.Open("s3://repairs/shop")
	require.NoError(t, err)
	return stored{
		Store: opened,
		change: func(bundle, name string, change func([]byte) []byte) {
			m.Change("repairs/shop/"+bundle+"/"+name, change)
		},
		vanish: m.Close,
	}
}

// handedRecord is a closed record in a folder of jobs, that a store has a bundle of.
func handedRecord(t *testing.T, to handover.Store) (file, digest string) {
	t.Helper()
	content, err := os.ReadFile("../../../testdata/record/version-4-capture.arctally")
	require.NoError(t, err)
	file = filepath.Join(t.TempDir(), "boom.arctally")
	require.NoError(t, os.WriteFile(file, content, 0o600))
	handed, err := Hand(context.Background(), file, to, t.TempDir(), func(string) {})
	require.NoError(t, err)
	return file, handed.Digest
}
