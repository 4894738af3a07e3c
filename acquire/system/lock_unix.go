//go:build unix

package system

import (
	"errors"
	"io/fs"
	"os"

	"github.com/gofrs/flock"
)

// TryLockFolder locks a folder, and leaves nothing in it.
func TryLockFolder(path string) (*Lock, error) {
	return try(flock.New(path, flock.SetFlag(os.O_RDONLY)))
}

// Remove gives the lock back and removes its file. It is removed while it is held: nobody
// else can have locked it then.
func (l *Lock) Remove() error {
	err := os.Remove(l.held.Path())
	if errors.Is(err, fs.ErrNotExist) {
		err = nil
	}
	return errors.Join(err, l.Release())
}
