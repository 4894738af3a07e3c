package system_test

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/system"
)

// One at a time, each opening of its own, whichever process it is in.
func TestLock(t *testing.T) {
	path := filepath.Join(t.TempDir(), "lock")
	l, err := system.TryLock(path, 0o600)
	require.NoError(t, err)
	assert.True(t, l.Named())
	_, err = system.TryLock(path, 0o600)
	require.ErrorIs(t, err, system.ErrHeld)

	waited := make(chan error, 1)
	go func() {
		other, err := system.WaitLock(path, 0o600)
		if err == nil {
			err = other.Release()
		}
		waited <- err
	}()
	select {
	case err := <-waited:
		t.Fatalf("it did not wait: %v", err)
	case <-time.After(50 * time.Millisecond):
	}
	require.NoError(t, l.Release())
	require.NoError(t, <-waited)

	_, err = system.TryLock(filepath.Join(path, "none"), 0o600)
	require.Error(t, err)
	assert.NotErrorIs(t, err, system.ErrHeld)
	_, err = system.WaitLock(filepath.Join(path, "none"), 0o600)
	require.Error(t, err)
}

// A lock whose file is another's by now guards nothing.
func TestLock_Named(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("Windows removes no file that is open")
	}
	path := filepath.Join(t.TempDir(), "lock")
	l, err := system.TryLock(path, 0o600)
	require.NoError(t, err)
	require.NoError(t, os.Remove(path))
	assert.False(t, l.Named(), "it is gone")
	require.NoError(t, os.WriteFile(path, nil, 0o600))
	assert.False(t, l.Named(), "it is another")
	require.NoError(t, l.Release())
}

func TestLock_Remove(t *testing.T) {
	path := filepath.Join(t.TempDir(), "lock")
	l, err := system.TryLock(path, 0o600)
	require.NoError(t, err)
	require.NoError(t, l.Remove())
	require.NoFileExists(t, path)
	again, err := system.TryLock(path, 0o600)
	require.NoError(t, err, "it was given back")
	require.NoError(t, again.Remove())
}

func TestTryLockFolder(t *testing.T) {
	folder := t.TempDir()
	l, err := system.TryLockFolder(folder)
	require.NoError(t, err)
	_, err = system.TryLockFolder(folder)
	require.ErrorIs(t, err, system.ErrHeld)
	require.NoError(t, l.Release())
	l, err = system.TryLockFolder(folder)
	require.NoError(t, err)
	require.NoError(t, l.Release())
	if runtime.GOOS != "windows" {
		entries, err := os.ReadDir(folder)
		require.NoError(t, err)
		assert.Empty(t, entries)
	}
}

// Every writing and every other file in its place is another touch, also where the times
// of writing are made alike.
func TestTouchOf(t *testing.T) {
	path := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(path, []byte("abc"), 0o600))
	old := time.Date(2020, 1, 2, 3, 4, 5, 0, time.UTC)
	require.NoError(t, os.Chtimes(path, old, old))
	first, err := system.TouchOf(path)
	require.NoError(t, err)
	assert.EqualValues(t, 3, first.Size)
	assert.Equal(t, old.UnixNano(), first.Written)
	assert.NotZero(t, first.Inode)
	assert.WithinDuration(t, time.Now(), time.Unix(0, first.Changed), time.Minute, "nobody sets that back")
	same, err := system.TouchOf(path)
	require.NoError(t, err)
	assert.Equal(t, first, same)

	other := path + "-new"
	require.NoError(t, os.WriteFile(other, []byte("abc"), 0o600))
	require.NoError(t, os.Chtimes(other, old, old))
	require.NoError(t, system.Rename(other, path))
	require.NoFileExists(t, other)
	replaced, err := system.TouchOf(path)
	require.NoError(t, err)
	assert.NotEqual(t, first.Inode, replaced.Inode)

	_, err = system.TouchOf(other)
	require.ErrorIs(t, err, fs.ErrNotExist)
	require.ErrorIs(t, system.Rename(other, path), fs.ErrNotExist)
}

func TestDisk(t *testing.T) {
	free, err := system.Free(t.TempDir())
	require.NoError(t, err)
	assert.Positive(t, free)
	_, err = system.Free(filepath.Join(t.TempDir(), "none"))
	require.ErrorIs(t, err, fs.ErrNotExist)
	require.NoError(t, system.SyncFolder(t.TempDir()))
	require.ErrorIs(t, system.SyncFolder(filepath.Join(t.TempDir(), "none")), fs.ErrNotExist)
	assert.False(t, system.NoRoom(errors.New("another")))
	assert.False(t, system.ReadOnly(errors.New("another")))
}
