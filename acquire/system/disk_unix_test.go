//go:build unix

package system_test

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"arctally/acquire/system"
)

func TestDisk_Errors(t *testing.T) {
	full := &os.PathError{Op: "write", Path: "x", Err: unix.ENOSPC}
	locked := &os.PathError{Op: "open", Path: "x", Err: unix.EROFS}
	assert.True(t, system.NoRoom(full))
	assert.False(t, system.NoRoom(locked))
	assert.True(t, system.ReadOnly(locked))
	assert.False(t, system.ReadOnly(full))
}

// Free is what a user may write, as the system counts it.
func TestFree(t *testing.T) {
	folder := t.TempDir()
	var disk unix.Statfs_t
	require.NoError(t, unix.Statfs(folder, &disk))
	free, err := system.Free(folder)
	require.NoError(t, err)
	assert.InEpsilon(t, float64(disk.Bavail)*float64(disk.Bsize), float64(free), 0.2, "others write meanwhile")
}

// What was locked is free again, also where the file goes on under another name.
func TestLock_RemoveGivesItBack(t *testing.T) {
	path := filepath.Join(t.TempDir(), "lock")
	l, err := system.TryLock(path, 0o600)
	require.NoError(t, err)
	require.NoError(t, os.Link(path, path+"-too"))
	require.NoError(t, l.Remove())
	again, err := system.TryLock(path+"-too", 0o600)
	require.NoError(t, err)
	require.NoError(t, again.Release())
}
