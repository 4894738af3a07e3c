package alljobs

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"sync"

	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/shelf"
	"arctally/report/fleet"
)

// store is the database of a folder. While questions are answered from it, what is new is taken in; between two
// questions it is exchanged for another one.
type store struct {
	folder string // of the jobs

	asking  sync.RWMutex
	f       *fleet.Fleet
	file    string
	passing string // why it goes when the program ends; empty where it stays
	scratch string // folder that goes with it

	// Of the one who looks the folder through alone.
	spoiled bool
	next    *fleet.Fleet // that takes the place of f

	mu    sync.Mutex
	known map[string]seen // by their records
}

// place is where the database of a folder is kept: it is of this build of the program, as another one may judge otherwise.
func (s *store) place() (file string, err error) {
	program, known := shelf.ThisProgram()
	if !known {
		return "", errors.New("it is not known which build of the program this is")
	}
	cache, err := os.UserCacheDir()
	if err != nil {
		return "", err
	}
	folder := filepath.Join(cache, "arctally", "all-jobs")
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return "", err
	}
	own := short(s.folder) + "-"
	file = filepath.Join(folder, own+short(program)+".sqlite")
	entries, err := os.ReadDir(folder)
	for _, e := range entries { // those of other builds answer nothing any more; nobody else serves this folder
		if name := e.Name(); strings.HasPrefix(name, own) && !strings.HasPrefix(name, filepath.Base(file)) {
			_ = os.Remove(filepath.Join(folder, name)) // one that stays takes room, and no more
		}
	}
	return file, err
}

func short(text string) string {
	sum := sha256.Sum256([]byte(text))
	return hex.EncodeToString(sum[:8])
}

// opened is the database to take in into. One that cannot be used is made anew, as nothing rests on it; where none can
// be kept, it is one that goes with the program.
func (s *store) opened(ctx context.Context) (*fleet.Fleet, error) {
	s.asking.Lock()
	defer s.asking.Unlock()
	if s.f != nil && !s.spoiled {
		return s.f, nil
	}
	s.drop()
	err := s.keep(ctx, s.spoiled)
	if s.spoiled = false; err == nil {
		return s.f, nil
	}
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	s.passing = "it cannot be kept: " + err.Error()
	if s.scratch, err = os.MkdirTemp("", "arctally-all-jobs-"); err == nil {
		s.file = filepath.Join(s.scratch, fleet.FileName)
		s.f, err = fleet.Open(ctx, s.file)
	}
	if err != nil {
		return nil, &explain.Error{
			Kind: explain.InTheWay, Text: "there is no place for the database of all jobs: " + err.Error(),
			Next: "make room, or let the user of the program write into its cache folder; then try again", Cause: err,
		}
	}
	return s.f, nil
}

// keep opens the database where it is kept.
func (s *store) keep(ctx context.Context, spoiled bool) (err error) {
	if s.file, err = s.place(); err != nil {
		return err
	}
	if spoiled {
		remove(s.file)
	}
	if s.f, err = fleet.Open(ctx, s.file); err == nil || ctx.Err() != nil {
		return err
	}
	remove(s.file)
	s.f, err = fleet.Open(ctx, s.file)
	return err
}

// remove takes a database away, with what the engine keeps beside it.
func remove(file string) {
	for _, name := range []string{file, file + "-wal", file + "-shm"} {
		_ = os.Remove(name) // what cannot be taken away cannot be made anew either, and opening it says so
	}
}

// anew is an empty database to take in into, while questions are answered from the one there is.
func (s *store) anew(ctx context.Context) (*fleet.Fleet, error) {
	s.forget()
	remove(s.file + newEnding)
	var err error
	s.next, err = fleet.Open(ctx, s.file+newEnding)
	return s.next, err
}

const newEnding = ".new"

// exchange puts the new database in the place of the one there is.
func (s *store) exchange(ctx context.Context) error {
	s.asking.Lock()
	defer s.asking.Unlock()
	err := errors.Join(s.f.Close(), s.next.Close())
	if s.f, s.next = nil, nil; err != nil {
		return err
	}
	remove(s.file)
	if err := os.Rename(s.file+newEnding, s.file); err != nil {
		return err
	}
	s.f, err = fleet.Open(ctx, s.file)
	return err
}

// spoil has the database made anew when it is opened next.
func (s *store) spoil() {
	s.forget()
	s.spoiled = true
}

func (s *store) forget() {
	s.mu.Lock()
	defer s.mu.Unlock()
	clear(s.known)
}

// drop closes what is open.
func (s *store) drop() {
	for _, f := range []**fleet.Fleet{&s.f, &s.next} {
		if *f != nil {
			_ = (*f).Close() // what was taken in is there, and what is not is found out anew
		}
		*f = nil
	}
	if s.scratch != "" {
		_ = os.RemoveAll(s.scratch)
	}
	s.file, s.passing, s.scratch = "", "", ""
}

// close ends the use of the database; nobody looks the folder through any more.
func (s *store) close() {
	s.asking.Lock()
	defer s.asking.Unlock()
	s.drop()
}

// ask has a question answered.
func (s *store) ask(question func(*fleet.Fleet) error) error {
	s.asking.RLock()
	defer s.asking.RUnlock()
	if s.f == nil {
		return context.Canceled // the program ends, or the database is made anew
	}
	return question(s.f)
}

// given opens the database that was named, once.
func (s *store) given(ctx context.Context, address string) (*fleet.Fleet, error) {
	s.asking.RLock()
	f := s.f
	s.asking.RUnlock()
	if f != nil {
		return f, nil
	}
	f, err := fleet.Ask(ctx, address) // as long as it does not answer, others may try too
	if err != nil {
		return nil, err
	}
	s.asking.Lock()
	defer s.asking.Unlock()
	if s.f != nil {
		return s.f, f.Close()
	}
	s.f = f
	return f, nil
}
