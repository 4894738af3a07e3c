package page

import (
	"bytes"
	"context"
	"fmt"
	"maps"
	"net/http"
	"runtime/debug"
	"strconv"
	"sync"

	"github.com/klauspost/compress/gzip"
)

// shared are the operations that many pages ask for at the same time, and that change
// nothing: what several ask at once is worked out once. Strip and bead are not among
// them: who has begun to listen must not be told what stood there before.
var shared = map[string]bool{
	"GET /api/house":                           true,
	"GET /api/records/{record}":                true,
	"GET /api/records/{record}/passes":         true,
	"GET /api/records/{record}/passes/{pass}":  true,
	"GET /api/records/{record}/events":         true,
	"GET /api/records/{record}/events/{event}": true,
	"GET /api/records/{record}/trace":          true,
	"GET /api/records/{record}/comparison":     true,
	"GET /api/records/{record}/entries":        true,
	"GET /api/fleet/{question}":                true,
}

// questions are those that are being answered.
type questions struct {
	mutex   sync.Mutex
	changes int // requests that may have changed something
	open    map[string]*question
}

// question is one that somebody waits for.
type question struct {
	askers int
	stop   context.CancelFunc
	done   chan struct{}
	answer *wholeAnswer
	err    error
}

// changed says that what is asked from now on may have another answer.
func (q *questions) changed() {
	q.mutex.Lock()
	defer q.mutex.Unlock()
	q.changes++
}

// ask returns the answer that somebody else is waiting for already, or has it worked out.
// It goes on as long as one of those who wait is there.
func (q *questions) ask(ctx context.Context, what string, work func(context.Context) (*wholeAnswer, error)) (*wholeAnswer, error) {
	one, leave := q.join(ctx, what, work)
	defer leave()
	select {
	case <-one.done:
		return one.answer, one.err
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

func (q *questions) join(ctx context.Context, what string, work func(context.Context) (*wholeAnswer, error)) (one *question, leave func()) {
	q.mutex.Lock()
	defer q.mutex.Unlock()
	what = strconv.Itoa(q.changes) + " " + what
	one = q.open[what]
	if one == nil {
		own, stop := context.WithCancel(context.WithoutCancel(ctx))
		one = &question{stop: stop, done: make(chan struct{})}
		q.open[what] = one
		go func() {
			one.answer, one.err = work(own)
			close(one.done)
			q.forget(what, one)
		}()
	}
	one.askers++
	return one, func() { q.leave(what, one) }
}

// leave breaks off what nobody waits for any more.
func (q *questions) leave(what string, one *question) {
	q.mutex.Lock()
	defer q.mutex.Unlock()
	if one.askers--; one.askers > 0 {
		return
	}
	one.stop()
	if q.open[what] == one {
		delete(q.open, what)
	}
}

func (q *questions) forget(what string, one *question) {
	q.mutex.Lock()
	defer q.mutex.Unlock()
	if q.open[what] == one {
		delete(q.open, what)
	}
}

// sharing answers what several ask at once with one answer.
func (s *server) sharing(operation func(http.ResponseWriter, *http.Request) error) func(http.ResponseWriter, *http.Request) error {
	return func(w http.ResponseWriter, r *http.Request) error {
		what := fmt.Sprint(s.hub.houseNumber(), " ", r.URL.Path, "?", r.URL.RawQuery)
		a, err := s.questions.ask(r.Context(), what, func(ctx context.Context) (*wholeAnswer, error) {
			return s.workedOut(operation, r.WithContext(ctx))
		})
		if err != nil {
			return err
		}
		a.send(w, r)
		return nil
	}
}

// workedOut keeps an answer. A panic is an error of ours, as it is where one page asks.
func (s *server) workedOut(operation func(http.ResponseWriter, *http.Request) error, r *http.Request) (a *wholeAnswer, err error) {
	defer func() {
		if problem := recover(); problem != nil {
			s.log.Error("a request broke", "method", r.Method, "path", r.URL.Path, "panic", problem, "stack", string(debug.Stack()))
			a, err = nil, errBroken
		}
	}()
	a = &wholeAnswer{header: http.Header{}, status: http.StatusOK}
	err = operation(a, r)
	return a, err
}

// changing tells what asks from now on that something may be different.
func (s *server) changing(operation func(http.ResponseWriter, *http.Request) error) func(http.ResponseWriter, *http.Request) error {
	return func(w http.ResponseWriter, r *http.Request) error {
		defer s.questions.changed()
		return operation(w, r)
	}
}

// wholeAnswer is an answer for all who asked.
type wholeAnswer struct {
	header http.Header
	status int
	body   bytes.Buffer
	once   sync.Once
	packed []byte
}

// Header implements http.ResponseWriter.
func (a *wholeAnswer) Header() http.Header { return a.header }

// WriteHeader implements http.ResponseWriter.
func (a *wholeAnswer) WriteHeader(status int) { a.status = status }

// Write implements http.ResponseWriter.
func (a *wholeAnswer) Write(b []byte) (int, error) { return a.body.Write(b) }

// leastPacked is the least that is worth compressing: what goes through in one piece anyway is not.
const leastPacked = 1024

// compressed is the body, compressed for whoever asks first.
func (a *wholeAnswer) compressed() []byte {
	a.once.Do(func() {
		var b bytes.Buffer
		w, err := gzip.NewWriterLevel(&b, gzip.BestSpeed)
		if err != nil {
			panic(fmt.Sprintf("page: %v", err)) // the level is one that there is
		}
		_, _ = w.Write(a.body.Bytes()) // a buffer takes everything
		_ = w.Close()
		a.packed = b.Bytes()
	})
	return a.packed
}

// send sends it to one of those who asked.
func (a *wholeAnswer) send(w http.ResponseWriter, r *http.Request) {
	body, header := a.body.Bytes(), w.Header()
	maps.Copy(header, a.header)
	header.Add("Vary", "Accept-Encoding")
	if len(body) >= leastPacked && takesGzip(r) {
		body = a.compressed()
		header.Set("Content-Encoding", "gzip")
	}
	header.Set("Content-Length", strconv.Itoa(len(body)))
	extend(w, sendTime)
	w.WriteHeader(a.status)
	_, _ = w.Write(body) // who went away needs no answer
}
