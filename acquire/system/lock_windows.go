package system

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
)

// TryLockFolder locks a folder by a file in it, which stays there.
func TryLockFolder(path string) (*Lock, error) {
	return TryLock(filepath.Join(path, FolderLock), 0o600)
}

// Remove gives the lock back and removes its file. Windows removes no file that is open: so
// it goes after the lock, and where somebody has opened it meanwhile it is his.
func (l *Lock) Remove() error {
	if err := l.Release(); err != nil {
		return err
	}
	err := os.Remove(l.held.Path())
	if errors.Is(err, fs.ErrNotExist) || InUse(err) {
		return nil
	}
	return err
}
