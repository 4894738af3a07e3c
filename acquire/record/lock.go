package record

import (
	"errors"
	"io"
	"path/filepath"
	"sync"

	"arctally/acquire/system"
)

// lockSuffix names the file beside a record that its writer holds locked. The
// lock is not on the record itself: closing any descriptor of that file would
// drop the locks that SQLite holds on it in this process.
const lockSuffix = "-lock"

// lock makes this process the record's only writer until unlock.
func lock(path string) (*system.Lock, error) {
	for {
		l, err := system.TryLock(path+lockSuffix, 0o644)
		switch {
		case errors.Is(err, system.ErrHeld):
			return nil, &Error{Kind: Busy, Path: path, Err: err}
		case err != nil:
			return nil, wrap(path, "lock", err)
		case l.Named():
			return l, nil
		}
		// Its former holder removed it between our open and our lock: take the new one.
		if err := l.Release(); err != nil {
			return nil, wrap(path, "lock", err)
		}
	}
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
