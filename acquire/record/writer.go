package record

import (
	"context"
	"database/sql"
	"errors"
	"sync"
	"time"

	"arctally/acquire/system"
)

// Meta says what a record is about.
type Meta struct {
	Job       string // name of the job
	Procedure string // name of the procedure
	// Documents holds the full texts that the record was made under, by name:
	// job.yaml, procedure.yaml.
	Documents map[string]string
	Created   time.Time
}

// queueLimit bounds what waits for the disk, in samples: 41 s of a source at
// 100 kHz, the fastest that the sensor link allows for; about 40 MB.
const queueLimit = 4 << 20

// costOfRow is what a chunk's head, a run, an event or a fit counts for, in samples.
const costOfRow = 16

// commitPeriod is the time between two commits.
const commitPeriod = time.Second

// options are what a test replaces.
type options struct {
	now   func() time.Time
	beat  <-chan time.Time // when to commit; nil is every commitPeriod
	limit int
}

func defaults() options { return options{now: time.Now, limit: queueLimit} }

// Writer adds to a record. Its methods may be called from several goroutines;
// the order in which they are called is the order of the record.
type Writer struct {
	path   string
	option options
	lock   *system.Lock
	db     *sql.DB
	conn   *sql.Conn
	ticker *time.Ticker
	commit *committer
	wake   chan struct{}
	done   chan struct{}

	mu           sync.Mutex
	moved        sync.Cond // memory was freed, a commit was made, or an error came
	stands       []*stand  // by box
	queue        []*group  // waiting for the disk, oldest first
	free         []*group
	waiting      int   // cost of what is in memory and not yet committed
	sealed       int64 // groups ever queued
	committed    int64 // groups ever committed
	acknowledged int64 // samples
	closing      bool
	err          error
	closed       error
	resumed      bool            // there was a record before
	next         int             // number of the first epoch that nothing in the record has
	entries      int64           // in the record and waiting
	pictures     map[string]bool // SHA-256 of the photographs in the record

	picture sync.Mutex // held while a photograph is added
}

func newWriter(path string, held *system.Lock, o options) *Writer {
	w := &Writer{
		path: path, option: o, lock: held,
		wake: make(chan struct{}, 1), done: make(chan struct{}),
	}
	w.moved.L = &w.mu
	return w
}

// connect opens the database and refuses one that could lose a commit.
func (w *Writer) connect() error {
	ctx := context.Background()
	db, err := connect(w.path, forWriting)
	if err != nil {
		return err
	}
	w.db = db
	if w.conn, err = db.Conn(ctx); err != nil {
		return wrap(w.path, "open", err)
	}
	w.commit = newCommitter(w.path, w.conn, w.option.now)
	return nil
}

// abandon gives up a writer that never started.
func (w *Writer) abandon() error {
	var err error
	if w.conn != nil {
		err = errors.Join(err, w.conn.Close())
	}
	if w.db != nil {
		err = errors.Join(err, w.db.Close())
	}
	return errors.Join(err, w.lock.Remove())
}

func (w *Writer) start() *Writer {
	if w.option.beat == nil {
		w.ticker = time.NewTicker(commitPeriod)
		w.option.beat = w.ticker.C
	}
	opened(w.path)
	go w.work()
	return w
}
