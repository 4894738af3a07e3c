package bundling

import (
	"context"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/acquire/record"
	"arctally/acquire/seal"
	"arctally/cmd/internal/letterhead"
	"arctally/report/handover"
)

// watched is a store that tells what it has got.
type watched struct {
	handover.Store
	got func(name string)
}

func (w watched) Put(ctx context.Context, bundle string, e handover.Entry, content handover.Content) error {
	err := w.Store.Put(ctx, bundle, e, content)
	w.got(e.Name)
	return err
}

// goOn puts something more on a record, and closes it.
func goOn(t *testing.T, file string) {
	t.Helper()
	key, err := seal.Folder(t.TempDir()).Machine()
	require.NoError(t, err)
	w, err := record.Amend(file)
	require.NoError(t, err)
	w.SealWith(key)
	_, err = w.Photograph("image/png", []byte("a bead"))
	require.NoError(t, err)
	require.NoError(t, w.Close())
}

// Somebody who goes on with a record while it is handed over makes no bundle of two states: the first is
// torn and stays so, the second is handed over whole.
func TestHand_GoneOnWithMeanwhile(t *testing.T) {
	content, err := os.ReadFile("../../../testdata/record/version-4-capture.arctally")
	require.NoError(t, err)
	for _, after := range []string{handover.RecordName, handover.PassesName, handover.SlowName} {
		t.Run(after, func(t *testing.T) {
			file := filepath.Join(t.TempDir(), "boom.arctally")
			require.NoError(t, os.WriteFile(file, content, 0o600))
			plain, err := handover.Open(t.TempDir())
			require.NoError(t, err)
			store := watched{plain, func(name string) {
				if name == after {
					goOn(t, file)
				}
			}}
			first, err := Hand(t.Context(), file, store, t.TempDir(), func(string) {})
			var own *record.Error
			require.ErrorAs(t, err, &own)
			require.Equal(t, record.Changed, own.Kind)
			_, err = handover.Read(t.Context(), plain, first.Digest)
			require.ErrorContains(t, err, "no manifest")
			second, err := Hand(t.Context(), file, plain, t.TempDir(), func(string) {})
			require.NoError(t, err)
			require.NotEqual(t, first.Digest, second.Digest)
			b, err := handover.Read(t.Context(), plain, second.Digest)
			require.NoError(t, err)
			require.Len(t, b.Record, 64)
			require.NotEqual(t, b.Digest, b.Record)
		})
	}
}

// A record is the same bundle under whatever name it lies, wherever the machine stands, and whatever
// letterhead lies beside it.
func TestHand_TheSameEverywhere(t *testing.T) {
	content, err := os.ReadFile("../../../testdata/record/version-4-box.arctally")
	require.NoError(t, err)
	here := time.Local
	t.Cleanup(func() { time.Local = here })
	var manifests []string
	for _, c := range []struct {
		name string
		zone *time.Location
	}{{"boom.arctally", time.UTC}, {"stick.arctally", time.FixedZone("", 9*3600)}} {
		time.Local = c.zone
		file := filepath.Join(t.TempDir(), c.name)
		require.NoError(t, os.WriteFile(file, content, 0o600))
		if c.zone == time.UTC {
			head := []byte("lines: [Invented Line Boring]\n")
			require.NoError(t, os.WriteFile(filepath.Join(filepath.Dir(file), letterhead.Name), head, 0o600))
		}
		store, err := handover.Open(t.TempDir())
		require.NoError(t, err)
		handed, err := Hand(t.Context(), file, store, t.TempDir(), func(string) {})
		require.NoError(t, err)
		b, err := handover.Read(t.Context(), store, handed.Digest)
		require.NoError(t, err)
		manifests = append(manifests, string(b.Bytes()))
	}
	require.Equal(t, manifests[0], manifests[1])
}
