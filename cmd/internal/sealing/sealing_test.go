package sealing

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/acquire/record"
	"arctally/acquire/seal"
)

// write makes a record and returns what verify says of its seals.
func write(t *testing.T) *record.Sealing {
	t.Helper()
	path := filepath.Join(t.TempDir(), "job.arctally")
	w, err := record.Create(path, record.Meta{})
	require.NoError(t, err)
	Seal(w)
	_, err = w.Entries([]record.Entry{{Kind: "disposition", By: "Inspector 1", At: time.Unix(1, 0), Text: "{}"}})
	require.NoError(t, err)
	require.NoError(t, w.Close())
	r, err := record.Open(path)
	require.NoError(t, err)
	s, err := r.VerifySeals()
	require.NoError(t, err)
	require.NoError(t, r.Close())
	return s
}

// A record is sealed where there is a key, and written where there is none.
func TestSeal_NoRecordWaitsForAKey(t *testing.T) {
	t.Cleanup(func() { Use("") })
	require.Empty(t, write(t).Seals)
	folder := filepath.Join(t.TempDir(), "keys")
	Use(seal.Folder(folder))
	sealed := write(t)
	require.True(t, sealed.Ended())
	k, err := Machine()
	require.NoError(t, err)
	require.Equal(t, k.Public(), sealed.Seals[0].Key)
	require.NoError(t, os.Chmod(filepath.Join(folder, "machine.key"), 0o644))
	Use(seal.Folder(folder))
	_, err = Machine()
	require.ErrorContains(t, err, "may be read by others")
	require.Empty(t, write(t).Seals)
}

func TestPerson_HasAKeyOnlyWhereHeWantsOne(t *testing.T) {
	t.Cleanup(func() { Use("") })
	k, err := Person("Inspector 1")
	require.NoError(t, err)
	require.Nil(t, k)
	_, err = MakePerson("Inspector 1")
	require.ErrorIs(t, err, ErrNoFolder)
	Use(seal.Folder(t.TempDir()))
	for _, name := range []string{"Inspector 1", "no, name"} {
		k, err = Person(name)
		require.NoError(t, err)
		require.Nil(t, k)
	}
	made, err := MakePerson("Inspector 1")
	require.NoError(t, err)
	k, err = Person("Inspector 1")
	require.NoError(t, err)
	require.Equal(t, made, k)
}

// Who records without seals is told why, and what to do; who asked for none is not.
func TestTrouble_IsSaidInPlainWords(t *testing.T) {
	t.Cleanup(func() { Use("") })
	Use("")
	require.Empty(t, Trouble())
	Use(seal.Folder(t.TempDir()))
	require.Empty(t, Trouble())
	Without(errors.New("nobody knows where"))
	require.Contains(t, Trouble(), "kept, but not sealed: nobody can show later that it was not changed: nobody knows where\nhint: ")
	require.Empty(t, write(t).Seals)
	Use("/dev/null")
	require.Contains(t, Trouble(), "/dev/null/machine.key")
	require.Empty(t, write(t).Seals)
}
