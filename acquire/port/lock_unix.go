//go:build unix

package port

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"

	"golang.org/x/sys/unix"
)

// lock is held on a node, by its device number, until release or the end of
// the process.
type lock struct{ file *os.File }

// sharedLocks is the folder for lock files that all users share.
const sharedLocks = "/run/lock"

// lockDir returns the folder for lock files: the shared one, or else one of ours
// below the temporary folder.
func lockDir(shared string) (string, error) {
	if unix.Access(shared, unix.W_OK) == nil {
		return shared, nil
	}
	dir := filepath.Join(os.TempDir(), "arctally-locks")
	if err := os.Mkdir(dir, 0o777); err != nil {
		if errors.Is(err, fs.ErrExist) {
			return dir, nil
		}
		return "", err
	}
	// Any user makes files here, only their owner removes them; the umask
	// would have taken that from Mkdir.
	return dir, os.Chmod(dir, 0o777|os.ModeSticky)
}

// takeLock locks a device number in dir. The lock is on the open file, so the
// system releases it when the process dies; the file itself stays, because
// removing it could take the lock from under a process that just opened it.
func takeLock(dir string, device uint64) (*lock, error) {
	path := filepath.Join(dir, fmt.Sprintf("arctally-tty-%d-%d", unix.Major(device), unix.Minor(device)))
	file, err := openLockFile(path)
	if err != nil {
		return nil, err
	}
	if err := unix.Flock(int(file.Fd()), unix.LOCK_EX|unix.LOCK_NB); err != nil {
		held := errHeld{holder: readHolder(file)}
		if closed := file.Close(); closed != nil {
			return nil, closed
		}
		if errors.Is(err, unix.EWOULDBLOCK) {
			return nil, held
		}
		return nil, &os.PathError{Op: "flock", Path: path, Err: err}
	}
	l := &lock{file: file}
	if err := l.write(strconv.Itoa(os.Getpid()) + "\n"); err != nil {
		return nil, errors.Join(err, file.Close())
	}
	return l, nil
}

// openLockFile makes the file for all users, or opens the one that is there.
// The two steps are apart because a kernel may refuse to create over another
// user's file in a sticky folder.
func openLockFile(path string) (*os.File, error) {
	file, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_EXCL|unix.O_NOFOLLOW, 0o666)
	if err == nil {
		if err := file.Chmod(0o666); err != nil {
			return nil, errors.Join(err, file.Close())
		}
		return file, nil
	}
	if !errors.Is(err, fs.ErrExist) {
		return nil, err
	}
	return os.OpenFile(path, os.O_RDWR|unix.O_NOFOLLOW, 0)
}

// readHolder returns the process number in a lock file, 0 where there is none.
func readHolder(file *os.File) int {
	var text [20]byte
	n, err := file.ReadAt(text[:], 0)
	if n == 0 && err != nil {
		return 0
	}
	pid, err := strconv.Atoi(string(bytes.TrimSpace(text[:n])))
	if err != nil {
		return 0
	}
	return pid
}

func (l *lock) write(text string) error {
	if err := l.file.Truncate(0); err != nil {
		return err
	}
	_, err := l.file.WriteAt([]byte(text), 0)
	return err
}

func (l *lock) release() error {
	return errors.Join(l.write(""), l.file.Close())
}
