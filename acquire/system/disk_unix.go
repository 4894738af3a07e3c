//go:build unix

package system

import (
	"errors"
	"io/fs"
	"os"

	"golang.org/x/sys/unix"
)

// Free is how many bytes this user may still write on the disk of a folder.
func Free(folder string) (int64, error) {
	var disk unix.Statfs_t
	if err := unix.Statfs(folder, &disk); err != nil {
		return 0, &fs.PathError{Op: "statfs", Path: folder, Err: err}
	}
	return int64(disk.Bavail) * int64(disk.Bsize), nil
}

// NoRoom reports whether an error is that the disk is full.
func NoRoom(err error) bool { return errors.Is(err, unix.ENOSPC) }

// ReadOnly reports whether an error is that the disk can only be read.
func ReadOnly(err error) bool { return errors.Is(err, unix.EROFS) }

// InUse reports whether an error is that another program has the file open: here that bars nothing.
func InUse(error) bool { return false }

// Rename puts a file in the place of another one of the same disk, whole or not at all.
// SyncFolder then makes that last.
func Rename(from, to string) error { return os.Rename(from, to) }

// SyncFolder makes the names in a folder outlast a power cut.
func SyncFolder(folder string) error {
	f, err := os.Open(folder)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}
