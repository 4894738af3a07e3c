package system

import (
	"errors"
	"io/fs"
	"os"

	"golang.org/x/sys/windows"
)

// Free is how many bytes this user may still write on the disk of a folder.
func Free(folder string) (int64, error) {
	name, err := windows.UTF16PtrFromString(folder)
	if err != nil {
		return 0, &fs.PathError{Op: "find", Path: folder, Err: err}
	}
	var free uint64
	if err := windows.GetDiskFreeSpaceEx(name, &free, nil, nil); err != nil {
		return 0, &fs.PathError{Op: "find the room on the disk of", Path: folder, Err: err}
	}
	return int64(free), nil
}

// NoRoom reports whether an error is that the disk is full.
func NoRoom(err error) bool {
	return errors.Is(err, windows.ERROR_DISK_FULL) || errors.Is(err, windows.ERROR_HANDLE_DISK_FULL)
}

// ReadOnly reports whether an error is that the disk can only be read.
func ReadOnly(err error) bool { return errors.Is(err, windows.ERROR_WRITE_PROTECT) }

// InUse reports whether an error is that another program has the file open.
func InUse(err error) bool { return errors.Is(err, windows.ERROR_SHARING_VIOLATION) }

// Rename puts a file in the place of another one of the same disk, whole or not at all, and
// returns when that is on the disk: nothing that comes later could see to it.
func Rename(from, to string) error {
	old, err := windows.UTF16PtrFromString(from)
	if err != nil {
		return &os.LinkError{Op: "rename", Old: from, New: to, Err: err}
	}
	place, err := windows.UTF16PtrFromString(to)
	if err != nil {
		return &os.LinkError{Op: "rename", Old: from, New: to, Err: err}
	}
	if err := windows.MoveFileEx(old, place, windows.MOVEFILE_REPLACE_EXISTING|windows.MOVEFILE_WRITE_THROUGH); err != nil {
		return &os.LinkError{Op: "rename", Old: from, New: to, Err: err}
	}
	return nil
}

// SyncFolder asks no more than that the folder is there: Windows refuses to sync a folder
// ("Access denied"). What lasts there is what Rename has put in its place. A file that was
// only made may be missing after a power cut, together with what was synced in it.
func SyncFolder(folder string) error {
	_, err := os.Stat(folder)
	return err
}
