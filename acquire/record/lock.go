package record

import (
	"errors"
	"os"

	"golang.org/x/sys/unix"
)

// lockSuffix names the file beside a record that its writer holds locked. The
// lock is not on the record itself: closing any descriptor of that file would
// drop the locks that SQLite holds on it in this process.
const lockSuffix = "-lock"

// lock makes this process the record's only writer until unlock.
func lock(path string) (*os.File, error) {
	name := path + lockSuffix
	for {
		f, err := os.OpenFile(name, os.O_RDWR|os.O_CREATE, 0o644)
		if err != nil {
			return nil, wrap(path, "lock", err)
		}
		if err := unix.Flock(int(f.Fd()), unix.LOCK_EX|unix.LOCK_NB); err != nil {
			kind := Failed
			if errors.Is(err, unix.EWOULDBLOCK) {
				kind = Busy
			}
			return nil, also(&Error{Kind: kind, Path: path, Err: err}, f.Close())
		}
		if isNamed(f, name) {
			return f, nil
		}
		// Its former holder removed it between our open and our lock: take the new one.
		if err := f.Close(); err != nil {
			return nil, wrap(path, "lock", err)
		}
	}
}

// isNamed tells whether the open file is still the one of that name.
func isNamed(f *os.File, name string) bool {
	held, err := f.Stat()
	if err != nil {
		return false
	}
	named, err := os.Stat(name)
	return err == nil && os.SameFile(held, named)
}

// unlock ends the lock and removes its file, which nobody can hold meanwhile.
func unlock(f *os.File) error {
	return errors.Join(remove(f.Name()), f.Close())
}
