package alljobs

import (
	"context"
	"errors"
	"path/filepath"
	"time"

	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/gather"
	"arctally/report/fleet"
)

// answersWithin is how long a database that was named may take. Ours, no source.
const answersWithin = 20 * time.Second

// askGiven asks the database that was named. Which of its jobs are in this folder is told by their digests.
func (j *Jobs) askGiven(ctx context.Context, question func(context.Context, *fleet.Fleet) error) (*Survey, error) {
	limited, stop := context.WithTimeout(ctx, answersWithin)
	defer stop()
	f, err := j.store.given(limited, j.Given)
	if err == nil {
		err = question(limited, f)
	}
	if err != nil {
		return nil, j.refused(ctx, err)
	}
	s := &Survey{Given: shortName(f.Name()), At: j.Now(), Here: map[string]string{}}
	for _, r := range j.List() {
		if digest, ok := j.store.digestOf(r); ok && s.Here[digest] == "" {
			s.Here[digest] = r.Record
		}
	}
	return s, nil
}

// shortName is what a page calls a database: of a file the name alone.
func shortName(name string) string {
	if fleet.IsServer(name) {
		return name
	}
	return filepath.Base(name)
}

// refused is what is told of a database that gives no answer. What an engine says goes to the terminal: it tells of
// the network around this machine, which who looks at a page need not know.
func (j *Jobs) refused(ctx context.Context, err error) error {
	if of, ours := errors.AsType[*fleet.DatabaseError](err); ours && of.Cause == nil || ctx.Err() != nil {
		return err
	}
	j.Tell("all jobs: " + err.Error())
	return &explain.Error{
		Kind: explain.InTheWay, Text: "the database of all jobs does not answer", Next: "look at the database, and at the network between it and this machine; then try again",
		OnPage: "try again; if it stays so, the terminal in which the program runs shows what went wrong",
	}
}

// digestOf is the state of a record, as long as nobody records into it.
func (s *store) digestOf(r Row) (string, bool) {
	if r.Recording || r.Wrong != "" {
		return "", false
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if known, ok := s.known[r.Record]; ok && known.stamp == r.Stamp {
		return known.digest, known.digest != ""
	}
	digest, err := gather.DigestOf(r.File)
	if err != nil {
		digest = "" // one that cannot be read leads nowhere
	}
	s.known[r.Record] = seen{r.Stamp, digest}
	return digest, err == nil
}
