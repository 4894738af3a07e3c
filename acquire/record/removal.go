package record

import (
	"context"
	"errors"
	"os"
	"path/filepath"

	"arctally/acquire/system"
)

// Removal is a finished record that is about to go: until Remove or Leave nobody goes on with it.
type Removal struct {
	path  string
	lock  *system.Lock
	touch system.Touch
}

// BeginRemoval keeps everybody from going on with a record. One into which somebody writes, or that
// another program has open and holds by the locks of SQLite, is Busy; so is one beside which commits wait.
// A link is NotRecord: what it leads to belongs to another name.
func BeginRemoval(path string) (*Removal, error) {
	info, err := os.Lstat(path)
	switch {
	case err != nil:
		return nil, wrap(path, "open", err)
	case !info.Mode().IsRegular():
		return nil, &Error{Kind: NotRecord, Path: path, Detail: "a link, or something else that is no file"}
	}
	held, err := lock(path)
	if err != nil {
		return nil, err
	}
	r := &Removal{path: path, lock: held}
	if err := r.begin(); err != nil {
		return nil, also(err, r.Leave())
	}
	return r, nil
}

func (r *Removal) begin() (err error) {
	if HasLog(r.path) {
		return &Error{Kind: Busy, Path: r.path, Detail: "commits wait beside it: somebody writes into it, or did and did not end"}
	}
	if err := checkSize(r.path); err != nil {
		return err
	}
	if err := alone(r.path); err != nil {
		return err
	}
	r.touch, err = system.TouchOf(r.path)
	return wrap(r.path, "look at", err)
}

// alone refuses a file that another program has open, by whatever program it was made: SQLite grants the
// lock that is asked for to one that is alone, and no byte changes.
func alone(path string) error {
	ctx := context.Background()
	db, err := connect(path, "mode=rw&_pragma=busy_timeout(0)&_pragma=locking_mode(EXCLUSIVE)")
	if err != nil {
		return err
	}
	_, err = db.ExecContext(ctx, "BEGIN EXCLUSIVE; ROLLBACK")
	return also(wrap(path, "ask who has it open", err), wrap(path, "close", db.Close()))
}

// Remove removes the record, with the empty files that SQLite leaves beside it. One that anybody has
// touched since BeginRemoval is Changed, and stays.
func (r *Removal) Remove() error {
	now, err := system.TouchOf(r.path)
	if err == nil && now != r.touch {
		err = &Error{Kind: Changed, Path: r.path, Detail: "somebody wrote into it while it was to be removed"}
	}
	if err == nil {
		err = os.Remove(r.path)
	}
	if err != nil {
		return also(wrap(r.path, "remove", err), r.Leave())
	}
	err = errors.Join(remove(r.path+logSuffix), remove(r.path+indexSuffix), system.SyncFolder(filepath.Dir(r.path)))
	return also(wrap(r.path, "remove what lies beside it", err), r.Leave())
}

// indexSuffix names the file beside a record by which SQLite finds what is in the "-wal" file.
const indexSuffix = "-shm"

// Leave lets others go on with the record, if it is still there.
func (r *Removal) Leave() error { return wrap(r.path, "unlock", r.lock.Remove()) }
