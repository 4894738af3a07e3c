package record

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"sync"

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

// writers counts this process's writers by file, with the readers' files that
// are to be closed once they have gone. Closing any descriptor of a file drops
// all locks that the process holds on it: a reader that opened the file while
// nobody wrote must not take the locks of a writer that came later.
var writers = struct {
	sync.Mutex
	parked map[string][]io.Closer
	active map[string]int
}{parked: map[string][]io.Closer{}, active: map[string]int{}}

func key(path string) string {
	if full, err := filepath.EvalSymlinks(path); err == nil {
		path = full
	}
	if full, err := filepath.Abs(path); err == nil {
		path = full
	}
	return path
}

// opened notes that this process writes the file.
func opened(path string) {
	writers.Lock()
	defer writers.Unlock()
	writers.active[key(path)]++
}

// released notes that it no longer does, and closes what waited for that.
func released(path string) error {
	writers.Lock()
	defer writers.Unlock()
	k := key(path)
	if writers.active[k]--; writers.active[k] > 0 {
		return nil
	}
	delete(writers.active, k)
	var errs []error
	for _, c := range writers.parked[k] {
		errs = append(errs, c.Close())
	}
	delete(writers.parked, k)
	return errors.Join(errs...)
}

// closeOrPark closes a reader's file, or leaves that to the writer's end.
func closeOrPark(path string, c io.Closer) error {
	writers.Lock()
	defer writers.Unlock()
	k := key(path)
	if writers.active[k] == 0 {
		return c.Close()
	}
	writers.parked[k] = append(writers.parked[k], c)
	return nil
}
