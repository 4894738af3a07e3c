package sealing

import (
	"os"
	"os/signal"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"arctally/acquire/seal"
)

// filesOfAtMost has the system write no file beyond a size while do runs: it ends in the
// middle of a file, as a full disk does.
func filesOfAtMost(t *testing.T, size uint64, do func()) {
	t.Helper()
	var before unix.Rlimit
	require.NoError(t, unix.Getrlimit(unix.RLIMIT_FSIZE, &before))
	signal.Ignore(unix.SIGXFSZ)
	defer signal.Reset(unix.SIGXFSZ)
	limited := before
	limited.Cur = size
	require.NoError(t, unix.Setrlimit(unix.RLIMIT_FSIZE, &limited))
	defer func() { require.NoError(t, unix.Setrlimit(unix.RLIMIT_FSIZE, &before)) }()
	do()
}

// Where the disk of the keys is full at the first start, nothing is left of the key that was
// half written, who records is told in plain words, the record is written without seals, and
// the next start makes the key.
func TestMachine_OnAFullDisk(t *testing.T) {
	t.Cleanup(func() { Use("") })
	for _, room := range []uint64{0, 1, 60} {
		folder := filepath.Join(t.TempDir(), "keys")
		Use(seal.Folder(folder))
		filesOfAtMost(t, room, func() {
			_, err := Machine()
			require.ErrorIs(t, err, unix.EFBIG)
			require.ErrorContains(t, err, "make a key: write "+folder)
		})
		left, err := os.ReadDir(folder)
		require.NoError(t, err)
		require.Empty(t, left)
		require.Contains(t, Trouble(), "what is recorded is kept, but not sealed")
		require.True(t, strings.Contains(Trouble(), "make a key: write "), Trouble())
		require.Empty(t, write(t).Seals)
		Use(seal.Folder(folder)) // the next start
		require.Empty(t, Trouble())
		require.True(t, write(t).Ended())
	}
}

// A key that is half there keeps nobody from recording, and says what mends it: then records
// are sealed again.
func TestMachine_HalfAKey(t *testing.T) {
	t.Cleanup(func() { Use("") })
	folder := t.TempDir()
	file := filepath.Join(folder, "machine.key")
	Use(seal.Folder(folder))
	_, err := Machine()
	require.NoError(t, err)
	whole, err := os.ReadFile(file)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(file, whole[:len(whole)/2], 0o600))
	Use(seal.Folder(folder))
	require.Contains(t, Trouble(), file+" holds no key: put it back from a copy, or move it away and another key is made")
	require.Empty(t, write(t).Seals)
	require.NoError(t, os.Remove(file))
	Use(seal.Folder(folder))
	require.True(t, write(t).Ended())
}
