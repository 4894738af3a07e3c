package apart

import (
	"context"
	"encoding/json"
	"errors"
	"slices"
	"sync"
	"time"

	"arctally/acquire/record"
	"arctally/analyze/note"
	"arctally/cmd/internal/shelf"
	"arctally/report/page"
	"arctally/report/page/live"
)

// Front is the program that serves the pages, as a recorder knows it.
type Front struct {
	Hub   *page.Hub
	Start Starter
	Now   func() time.Time
	Tell  func(format string, values ...any) // who sits at the terminal
	// Done is told once that all of a recording is stored and judged, before the pages hear it.
	Done func(*Recorder, Done)
	// Closed is told after they have heard it.
	Closed func(*Recorder)
}

// Recorder is what the front knows of the recorder that runs, or ran last.
type Recorder struct {
	front Front
	order Order

	mu       sync.Mutex
	line     *line // nil while there is none
	process  *Process
	number   int  // of the process that is on the line
	alike    bool // it is of this build
	pending  map[int64]chan frame
	asked    int64
	newest   []byte        // state, as it was told last
	hushed   chan struct{} // closed while it is silent
	since    time.Time     // it is silent
	hung     string        // why it was ended; empty is that it was not
	stopping bool          // it is asked to end
	ended    bool          // by a person
	over     chan struct{} // closed when all is stored
	closed   chan struct{} // and was told
	left     chan struct{} // closed by Leave
	leaving  sync.Once
	watched  chan struct{} // closed when nobody looks after it any more
}

func newRecorder(f Front, o Order) *Recorder {
	return &Recorder{
		front: f, order: o, pending: map[int64]chan frame{}, hushed: make(chan struct{}),
		over: make(chan struct{}), closed: make(chan struct{}), left: make(chan struct{}), watched: make(chan struct{}),
	}
}

// Start has a recorder record what is ordered.
func Start(ctx context.Context, f Front, o Order) (*Recorder, error) {
	r := newRecorder(f, o)
	l, err := r.launch(ctx)
	if err != nil {
		return nil, err
	}
	go r.watch(l)
	return r, nil
}

// Join finds the recorder that records a job of a folder; nil is none.
func Join(ctx context.Context, f Front, folder string) (*Recorder, error) {
	at, err := placeOf(folder)
	if err != nil {
		return nil, nil // whoever begins a recording is told
	}
	r := newRecorder(f, Order{Folder: folder})
	ctx, stop := context.WithTimeout(ctx, patient.end)
	defer stop()
	l, err := r.connect(ctx, at)
	if err == nil && l == nil && errors.Is(ctx.Err(), context.DeadlineExceeded) {
		return nil, errHung(r.number)
	}
	if err != nil || l == nil {
		return nil, err
	}
	go r.watch(l)
	return r, nil
}

// IsOther reports whether a recorder of another build records a job of a folder, with which
// this one cannot speak.
func IsOther(ctx context.Context, folder string) bool {
	at, err := placeOf(folder)
	if err != nil {
		return false
	}
	ctx, stop := context.WithTimeout(ctx, patient.end)
	defer stop()
	l, err := newRecorder(Front{}, Order{Folder: folder}).connect(ctx, at)
	if l != nil {
		l.close()
	}
	var other *OtherBuild
	return errors.As(err, &other)
}

// Record is the name of the record.
func (r *Recorder) Record() string { return r.Order().Record }

// Order is what it was asked to record.
func (r *Recorder) Order() Order {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.order
}

// Runs reports whether anything is still being recorded.
func (r *Recorder) Runs() bool { return !isClosed(r.over) }

func isClosed(c <-chan struct{}) bool {
	select {
	case <-c:
		return true
	default:
		return false
	}
}

// End asks for the end of the recording, as a person does. Closed tells when all of it is stored.
func (r *Recorder) End() {
	r.mu.Lock()
	r.ended = true
	r.mu.Unlock()
	r.Cut()
}

// Ended reports whether a person has asked for the end.
func (r *Recorder) Ended() bool {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.ended
}

// Cut asks for the end of a recording that somebody will want to go on with.
func (r *Recorder) Cut() {
	r.mu.Lock()
	r.stopping = true
	r.mu.Unlock()
	_, _ = r.ask(context.Background(), askStop, nil) // one that is away is not started again
}

// Closed is closed when all is stored, judged and told.
func (r *Recorder) Closed() <-chan struct{} { return r.closed }

// Leave lets the recorder go: it ends where nothing is being recorded, and goes on where
// something is. It returns when it is gone, or goes on alone.
func (r *Recorder) Leave() {
	r.leaving.Do(func() {
		r.mu.Lock()
		defer r.mu.Unlock()
		close(r.left)
		if r.line != nil {
			r.line.close()
		}
	})
	<-r.watched
}

// ask asks the recorder, and returns its answer.
func (r *Recorder) ask(ctx context.Context, what string, body []byte) ([]byte, error) {
	r.mu.Lock()
	l, hushed := r.line, r.hushed
	if l == nil || isClosed(hushed) {
		r.mu.Unlock()
		if l == nil {
			return nil, ErrAway
		}
		return nil, errSilent
	}
	r.asked++
	id, answer := r.asked, make(chan frame, 1)
	r.pending[id] = answer
	r.mu.Unlock()
	defer func() {
		r.mu.Lock()
		defer r.mu.Unlock()
		delete(r.pending, id)
	}()
	l.send(frame{Kind: what, ID: id, body: body})
	select {
	case f := <-answer:
		return f.body, f.Err.err()
	case <-l.gone:
		return nil, ErrAway
	case <-hushed:
		return nil, errUnanswered
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// askFor asks, and decodes the answer.
func askFor[T any](ctx context.Context, r *Recorder, what string, body []byte) (value T, err error) {
	text, err := r.ask(ctx, what, body)
	if err == nil {
		err = json.Unmarshal(text, &value)
	}
	return value, err
}

// State is how the recording stands; while nobody can answer, what was told last.
func (r *Recorder) State(ctx context.Context) *live.State {
	state, err := askFor[*live.State](ctx, r, askState, nil)
	if err == nil {
		return state
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	if json.Unmarshal(r.newest, &state) != nil { // nothing was told yet
		return nil
	}
	return state
}

// Strip is the last half minute.
func (r *Recorder) Strip(ctx context.Context) (live.Strip, error) {
	return askFor[live.Strip](ctx, r, askStrip, nil)
}

// Bead is all that was laid.
func (r *Recorder) Bead(ctx context.Context) (live.Bead, error) {
	return askFor[live.Bead](ctx, r, askBead, nil)
}

// Seen takes alarms that a person has seen, and returns what is left.
func (r *Recorder) Seen(ctx context.Context, ids []int64, more bool) (live.State, error) {
	return askFor[live.State](ctx, r, askSeen, encoded(touched{ids, more}))
}

// Note puts what a person typed in on record, and says when that holds.
func (r *Recorder) Note(ctx context.Context, n note.Note) (when string, err error) {
	text, err := r.ask(ctx, askNote, shelf.Pack(&n))
	return string(text), err
}

// Entries puts the entries of one act on record, and returns the number of the first.
func (r *Recorder) Entries(act []record.Entry) (first int64, err error) {
	act = slices.Clone(act)
	return askFor[int64](context.Background(), r, askEntries, shelf.Pack(&act))
}

// Photograph puts a picture on record.
func (r *Recorder) Photograph(mime string, content []byte) (digest string, err error) {
	text, err := r.ask(context.Background(), askPhotograph, shelf.Pack(&picture{mime, content}))
	return string(text), err
}

// Sync has nothing left to do: the recorder answers when what it put on record is stored.
func (*Recorder) Sync() error { return nil }
