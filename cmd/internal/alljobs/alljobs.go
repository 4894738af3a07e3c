// Package alljobs answers what is asked of all jobs of a folder at once: from a database that
// it keeps of them, or from one that was named.
//
// Terms. To look a folder through is to take in what is new of its records; a survey is
// what came of that. What is left out is a record that stands in no answer, and why. The records
// that stand aside are other states of one that stands in the answers. A database that was
// named is given: nothing is taken in.
//
// The folder is looked through when somebody asks and something has changed, in the
// background and one record at a time. Its database is a file in the user's cache folder,
// known by the folder and by this build of the program, and may be deleted at any time: what
// it cannot tell any more, as where a record was taken away, is found out anew.
//
// Errors: *explain.Error where there is no database, and what package fleet says of one.
package alljobs

import (
	"context"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"arctally/cmd/internal/recording"
	"arctally/cmd/internal/review"
	"arctally/report/fleet"
)

// Row is a record of the folder.
type Row struct {
	Record    string // without its ending
	File      string
	Stamp     string // another one whenever the file has changed
	Growing   bool   // somebody may be writing into it
	Recording bool   // this program records into it
	Wrong     string // why it cannot be read; empty where it can
	Hint      string // what to do about that
}

// Options say of which jobs is asked.
type Options struct {
	Folder string // by whose name its database is known
	Given  string // the database that is asked instead; empty is none
	// List are the records of the folder as they are now.
	List func() []Row
	// Judge judges one of them, as package gather wants it.
	Judge func(ctx context.Context, file string, told func(share float64)) (*review.Review, error)
	Now   func() time.Time
	Tell  func(text string) // hears what a database that was named says where it gives no answer
}

// LeftOut is a record that stands in no answer, or not as it is now.
type LeftOut struct {
	Record string
	State  State
	Why    string
	Hint   string // what to do; may be empty
}

// State is why a record is left out.
type State string

// The states.
const (
	Recording State = "recording"
	Broken    State = "broken"
	Aside     State = "aside"
)

// Survey is what came of looking the folder through.
type Survey struct {
	Given   string            // what people call the database that was named; empty is none
	Passing string            // why the database goes when the program ends; empty where it stays
	Since   *string           // when the first state was taken in; nil is none, or not known
	At      time.Time         // when the folder was looked through
	Jobs    *int              // that stand in the answers; nil is not known
	LeftOut []LeftOut         // in the order of their names
	Here    map[string]string // records of the folder by their digests

	of     map[string]string // digests by their records
	rows   []Row
	change int
	ended  time.Time
	err    error
}

// freshFor is how long a survey is good enough where nothing has changed but a record that
// somebody else writes into, or where it failed. Ours, no source.
const freshFor = 10 * time.Second

// Jobs are those of one folder.
type Jobs struct {
	Options
	ctx  context.Context
	stop context.CancelFunc
	work sync.WaitGroup

	store store

	mu      sync.Mutex
	last    *Survey
	running *surveying
	changes int // that this program made itself
	fresh   time.Duration
}

// surveying is a survey in the making.
type surveying struct {
	share  atomic.Uint64 // done, in millionths
	done   chan struct{}
	survey *Survey
}

// New returns the jobs of a folder; what is looked through in the background ends with ctx.
func New(ctx context.Context, o Options) *Jobs {
	j := &Jobs{Options: o, fresh: freshFor}
	j.ctx, j.stop = context.WithCancel(ctx)
	j.store = store{folder: o.Folder, known: map[string]seen{}}
	return j
}

// Close gives up what is being looked through, and closes the database.
func (j *Jobs) Close() {
	j.mu.Lock()
	j.stop()
	j.mu.Unlock()
	j.work.Wait()
	j.store.close()
}

// Changed says that this program has written into a record: a survey from before is not good enough.
func (j *Jobs) Changed() {
	j.mu.Lock()
	defer j.mu.Unlock()
	j.changes++
}

// Ask has a question answered, and tells of what. Where the folder has still to be looked
// through after so long, there is no survey, and share says how far that is, from 0 to 1.
func (j *Jobs) Ask(ctx context.Context, patience time.Duration, question func(context.Context, *fleet.Fleet) error) (survey *Survey, share float64, err error) {
	if j.Given != "" {
		survey, err = j.askGiven(ctx, question)
		return survey, 1, err
	}
	survey, share, err = j.surveyed(ctx, patience)
	if survey == nil || err != nil {
		return nil, share, err
	}
	return survey, 1, j.store.ask(func(f *fleet.Fleet) error { return question(ctx, f) })
}

// surveyed is the newest survey, or how far it is.
func (j *Jobs) surveyed(ctx context.Context, patience time.Duration) (*Survey, float64, error) {
	rows := j.List()
	j.mu.Lock()
	if last := j.last; last != nil && j.enough(last, rows) {
		j.mu.Unlock()
		return last, 1, last.err
	}
	if err := j.ctx.Err(); err != nil {
		j.mu.Unlock()
		return nil, 0, err
	}
	run := j.running
	if run == nil {
		run = j.begin(rows)
	}
	j.mu.Unlock()
	timer := time.NewTimer(patience)
	defer timer.Stop()
	select {
	case <-run.done:
	case <-timer.C:
		return nil, float64(run.share.Load()) / 1e6, nil
	case <-ctx.Done():
		return nil, 0, ctx.Err()
	}
	j.mu.Lock()
	defer j.mu.Unlock()
	if j.enough(run.survey, rows) {
		return run.survey, 1, run.survey.err
	}
	return nil, 0, nil // it began before something changed: who asks again has it looked through again
}

// enough tells whether a survey says how the folder is now.
func (j *Jobs) enough(s *Survey, rows []Row) bool {
	fresh := time.Since(s.ended) < j.fresh
	if s.change != j.changes || s.err != nil && !fresh {
		return false
	}
	return slices.EqualFunc(s.rows, rows, func(was, is Row) bool {
		return was.Record == is.Record && was.Recording == is.Recording && (is.Recording || was.Stamp == is.Stamp || is.Growing && fresh)
	})
}

// begin has the folder looked through.
func (j *Jobs) begin(rows []Row) *surveying {
	run := &surveying{done: make(chan struct{})}
	j.running = run
	change := j.changes
	j.work.Go(func() {
		survey := &Survey{At: j.Now(), rows: rows, change: change}
		if mistake := recording.Caught(func() { survey.err = j.survey(survey, rows, run) }); mistake != nil {
			survey.err = mistake // it must not end a recording that runs meanwhile
		}
		survey.ended = time.Now()
		j.mu.Lock()
		defer j.mu.Unlock()
		run.survey, j.last, j.running = survey, survey, nil
		close(run.done)
	})
	return run
}

// survey looks the folder through, and makes the database anew where it tells of what is gone.
func (j *Jobs) survey(s *Survey, rows []Row, run *surveying) error {
	f, err := j.store.opened(j.ctx)
	if err != nil {
		return err
	}
	standing, err := j.take(s, f, rows, run)
	if err == nil && gone(standing, s, rows) {
		if f, err = j.store.anew(j.ctx); err != nil {
			return err
		}
		if standing, err = j.take(s, f, rows, run); err == nil {
			err = j.store.exchange(j.ctx)
		}
	}
	if err != nil {
		j.store.spoil()
		return err
	}
	s.Passing = j.store.passing
	s.tell(standing, rows)
	return nil
}

// gone tells whether a state stands in the answers that no record of the folder is in. One that is being
// recorded may stand there as it was before.
func gone(standing *fleet.Standing, s *Survey, rows []Row) bool {
	for digest, record := range standing.Records {
		if _, here := s.Here[digest]; !here && !slices.ContainsFunc(rows, func(r Row) bool { return r.Recording && filepath.Base(r.File) == record }) {
			return true
		}
	}
	return false
}

// tell says how the records of the folder stand to the answers.
func (s *Survey) tell(standing *fleet.Standing, rows []Row) {
	s.Since, s.Jobs = standing.Since, new(len(standing.Records))
	before := map[string]string{} // the digest of what stood of a record, by the name that it had then
	for digest, name := range standing.Records {
		before[name] = digest
	}
	for _, r := range rows {
		digest, taken := s.of[r.Record]
		_, stands := standing.Records[digest]
		switch other := s.Here[digest]; {
		case r.Recording:
			out := LeftOut{Record: r.Record, State: Recording, Why: "it is being recorded now"}
			if digest, ok := before[filepath.Base(r.File)]; ok {
				out.Why += "; it stands here as it was before"
				s.Here[digest] = r.Record
			}
			s.LeftOut = append(s.LeftOut, out)
		case taken && !stands:
			s.LeftOut = append(s.LeftOut, LeftOut{Record: r.Record, State: Aside, Why: "another state of the same record is in this folder, and stands in its place"})
		case taken && other != r.Record:
			s.LeftOut = append(s.LeftOut, LeftOut{Record: r.Record, State: Aside, Why: "it is the same as " + other + ", and is counted once"})
		}
	}
	slices.SortStableFunc(s.LeftOut, func(a, b LeftOut) int { return strings.Compare(a.Record, b.Record) })
}
