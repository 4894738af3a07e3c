package system

import (
	"errors"
	"io/fs"
	"os"

	"github.com/gofrs/flock"
)

// ErrHeld is a lock that another program, or another part of this one, has.
var ErrHeld = errors.New("it is locked by another")

// FolderLock is the file that stands for its folder where the system locks no folders, as on
// Windows: it lies in each that was ever locked, and says nothing.
const FolderLock = ".arctally.lock"

// Lock is a lock on a file, until it is given back or the process ends. The system gives
// back that of a process that dies.
type Lock struct{ held *flock.Flock }

// TryLock locks a file of that name, which is made where there is none, or returns ErrHeld.
func TryLock(path string, rights fs.FileMode) (*Lock, error) {
	return try(flock.New(path, flock.SetFlag(os.O_RDWR|os.O_CREATE), flock.SetPermissions(rights)))
}

func try(f *flock.Flock) (*Lock, error) {
	got, err := f.TryLock()
	switch {
	case err != nil:
		return nil, err
	case !got:
		return nil, ErrHeld
	}
	return &Lock{f}, nil
}

// WaitLock locks a file as TryLock does, and waits for as long as another has it.
func WaitLock(path string, rights fs.FileMode) (*Lock, error) {
	f := flock.New(path, flock.SetFlag(os.O_RDWR|os.O_CREATE), flock.SetPermissions(rights))
	if err := f.Lock(); err != nil {
		return nil, err
	}
	return &Lock{f}, nil
}

// Named reports whether the file that is locked is still the one of its name: its last
// holder may have removed that between our opening and our locking it.
func (l *Lock) Named() bool {
	held, err := l.held.Stat()
	if err != nil {
		return false
	}
	named, err := os.Stat(l.held.Path())
	return err == nil && os.SameFile(held, named)
}

// Release gives the lock back. The file stays.
func (l *Lock) Release() error { return l.held.Unlock() }
