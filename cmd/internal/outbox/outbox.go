package outbox

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"sync"
	"time"

	"arctally/acquire/record"
	"arctally/cmd/internal/bundling"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/files"
	"arctally/cmd/internal/jobfile"
	"arctally/report/handover"
)

// Options say what is handed over, and where to.
type Options struct {
	Folder  string // of the jobs
	Store   handover.Store
	Busy    func() bool // somebody records
	Changed func()      // hears that a row is another one
	Now     func() time.Time
	Quiet   time.Duration // how long nobody must have written into a record; zero is DefaultQuiet
	Look    time.Duration // how often the folder is looked through; zero is defaultLook
	First   time.Duration // until what failed is tried again for the first time; zero is firstAgain
}

// Ours, no source. A person who decides on findings one after the other takes less than a minute for each.
const (
	DefaultQuiet = 2 * time.Minute
	defaultLook  = 5 * time.Second
	busyLook     = 500 * time.Millisecond // how soon a recording that begins breaks off what is under way
	firstAgain   = 10 * time.Second
	lastAgain    = 15 * time.Minute
)

// scratchFolder is where one file of a bundle at a time is made, beside the jobs.
const scratchFolder = ".arctally-hand-over"

// Outbox hands the records of one folder over.
type Outbox struct {
	Options
	mu    sync.Mutex
	list  List
	pause time.Time // until then the store is left alone: it was out of reach, or had no room
	tries int       // at the store that failed, one after the other
}

// New returns the outbox of a folder, where what was kept says it stood.
func New(o Options) *Outbox {
	for value, usual := range map[*time.Duration]time.Duration{&o.Quiet: DefaultQuiet, &o.Look: defaultLook, &o.First: firstAgain} {
		if *value == 0 {
			*value = usual
		}
	}
	b := &Outbox{Options: o}
	kept, err := Read(o.Folder)
	if b.list = (List{Store: o.Store.String()}); err == nil && kept.Store == b.list.Store {
		b.list.Rows = kept.Rows
	}
	for k := range b.list.Rows {
		if r := &b.list.Rows[k]; r.State == Failed || r.State == Waits {
			r.State, r.Tries, r.Again = Waits, 0, time.Time{}
		}
	}
	return b
}

// Row is where a record stands; false where it was not looked at.
func (b *Outbox) Row(record string) (Row, bool) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if r := b.list.row(record); r != nil {
		return *r, true
	}
	return Row{}, false
}

// Run hands over until ctx ends.
func (b *Outbox) Run(ctx context.Context) {
	ticker := time.NewTicker(b.Look)
	defer ticker.Stop()
	for {
		for b.one(ctx) { // as long as there is something to do
		}
		select {
		case <-ctx.Done():
			return
		case <-ticker.C:
		}
	}
}

// one hands the next record over that is due; false where none is, or nothing may be handed over.
func (b *Outbox) one(ctx context.Context) bool {
	now := b.Now()
	if ctx.Err() != nil || b.Busy() || now.Before(b.pause) {
		return false
	}
	row, ok := b.next(now)
	if !ok {
		return false
	}
	handed, err := b.hand(ctx, row.Record)
	if errors.Is(err, context.Canceled) {
		return false // somebody records, or the program ends: it waits
	}
	b.settle(row, handed, err)
	return true
}

// next looks the folder through for the record that has been due for longest.
func (b *Outbox) next(now time.Time) (due Row, ok bool) {
	for _, row := range b.look(now) {
		if row.State != Waits || now.Sub(row.Touch.Written) < b.Quiet || now.Before(row.Again) {
			continue
		}
		if !ok || row.At.Before(due.At) {
			due, ok = row, true
		}
	}
	return due, ok
}

// look returns the rows of the records to which nobody is writing. One that is new, or was written into,
// waits from now on.
func (b *Outbox) look(now time.Time) (rows []Row) {
	names, _ := filepath.Glob(filepath.Join(b.Folder, "*"+jobfile.RecordExtension)) // a folder that is gone has none
	changed := false
	b.mu.Lock()
	for _, file := range names {
		touch, still := touchOf(file)
		if !still {
			continue
		}
		row := Row{Record: files.Stem(file), State: Waits, At: now, Touch: touch}
		known := b.list.row(row.Record)
		if known != nil && known.Touch.same(touch) {
			rows = append(rows, *known)
			continue
		}
		if known != nil {
			row.Bundle = known.Bundle
		}
		b.list.put(row)
		rows, changed = append(rows, row), true
	}
	b.mu.Unlock()
	if changed {
		b.keep()
	}
	return rows
}

// keep keeps what has changed, and tells of it. What cannot be kept is found out again.
func (b *Outbox) keep() {
	b.mu.Lock()
	_ = b.list.keep(b.Folder)
	b.mu.Unlock()
	b.Changed()
}

// touchOf is that of a record to which nobody is writing.
func touchOf(file string) (t Touch, still bool) {
	info, err := os.Lstat(file)
	if err != nil || !info.Mode().IsRegular() {
		return t, false
	}
	if record.HasLog(file) {
		return t, false
	}
	return Touch{info.Size(), info.ModTime()}, true
}

// hand hands one record over, unless somebody begins to record.
func (b *Outbox) hand(ctx context.Context, record string) (bundling.Handed, error) {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	done := make(chan struct{})
	watched := make(chan struct{})
	go func() {
		defer close(watched)
		b.watch(done, stop)
	}()
	defer func() { close(done); <-watched }()
	scratch := filepath.Join(b.Folder, scratchFolder)
	if err := os.MkdirAll(scratch, 0o700); err != nil {
		return bundling.Handed{}, err
	}
	return bundling.Hand(ctx, filepath.Join(b.Folder, record+jobfile.RecordExtension), b.Store, scratch, func(string) {})
}

// watch stops what is under way once somebody records.
func (b *Outbox) watch(done <-chan struct{}, stop func()) {
	ticker := time.NewTicker(busyLook)
	defer ticker.Stop()
	for {
		select {
		case <-done:
			return
		case <-ticker.C:
			if b.Busy() {
				stop()
			}
		}
	}
}

// settle notes what came of handing a record over.
func (b *Outbox) settle(row Row, handed bundling.Handed, err error) {
	now := b.Now()
	row.At, row.Says, row.Hint, row.Again = now, "", "", time.Time{}
	var own *explain.Error
	switch refused, ok := errors.AsType[*handover.Error](err); {
	case err == nil:
		row.State, row.Bundle, row.Tries = Given, handed.Digest, 0
		b.tries = 0
	case errors.As(err, &own) && own.Kind == explain.InTheWay:
		row.State, row.Says, row.Hint = Open, err.Error(), own.Hint()
	case ok && refused.Lasting():
		row.State, row.Says, row.Hint = Failed, err.Error(), refused.Hint()
	case ok:
		b.tries++
		b.pause = now.Add(again(b.First, b.tries))
		row.failed(err, b.pause)
	default:
		row.failed(err, now.Add(again(b.First, row.Tries+1)))
	}
	b.mu.Lock()
	b.list.put(row)
	b.mu.Unlock()
	b.keep()
}

// failed notes what went wrong, and when it is tried again.
func (r *Row) failed(err error, then time.Time) {
	r.State, r.Says, r.Hint, r.Again = Waits, err.Error(), explain.Of(err).Hint, then
	r.Tries++
}

// again is how long to wait after so many failures.
func again(first time.Duration, tries int) time.Duration {
	wait := first
	for range tries - 1 {
		if wait *= 2; wait >= lastAgain {
			return lastAgain
		}
	}
	return wait
}
