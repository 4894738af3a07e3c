package page

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"net/http"
	"slices"
	"strconv"
	"time"

	"arctally/analyze/inspect"
	"arctally/analyze/plausible"
	"arctally/report/page/trace"
)

// sendTime is how long a browser may take for a piece of an answer.
const sendTime = time.Minute

var errBroken = &Problem{
	Status: http.StatusInternalServerError, Message: "the program made a mistake; what was recorded is not touched",
	Hint: "try again; the log of the program shows what went wrong",
}

// reply sends a value.
func reply(w http.ResponseWriter, status int, value any) error {
	text, err := json.Marshal(value)
	if err != nil {
		return fmt.Errorf("answer: %w", err)
	}
	return replyJSON(w, status, append(text, '\n'))
}

// replyJSON sends what is JSON already.
func replyJSON(w http.ResponseWriter, status int, text []byte) error {
	header := w.Header()
	header.Set("Content-Type", "application/json")
	if header.Get("Cache-Control") == "" {
		header.Set("Cache-Control", "no-store")
	}
	header.Set("Content-Length", strconv.Itoa(len(text)))
	extend(w, sendTime)
	w.WriteHeader(status)
	_, _ = w.Write(text) // who went away needs no answer
	return nil
}

// extend gives the other end more time to read an answer.
func extend(w http.ResponseWriter, by time.Duration) {
	_ = http.NewResponseController(w).SetWriteDeadline(time.Now().Add(by)) // only real connections have one
}

// refuse sends what is wrong. Where an answer has begun, it is cut off, so that
// nobody takes a part of it for the whole.
func (s *server) refuse(w *tracked, r *http.Request, err error) {
	p := s.problem(err)
	if p.Status >= http.StatusInternalServerError && r != nil && r.Context().Err() == nil {
		s.log.Error("a request failed", "method", r.Method, "path", r.URL.Path, "error", err)
	}
	if w.begun {
		panic(http.ErrAbortHandler)
	}
	for _, name := range []string{"ETag", "Content-Disposition", "Content-Encoding", "Cache-Control"} {
		w.Header().Del(name)
	}
	if p.Status == http.StatusServiceUnavailable && p.Wait == 0 {
		w.Header().Set("Retry-After", "5")
	}
	if p.Wait > 0 {
		w.Header().Set("Retry-After", strconv.Itoa(int(math.Ceil(p.Wait.Seconds()))))
	}
	if p.Status == http.StatusRequestEntityTooLarge {
		w.Header().Set("Connection", "close") // the rest of it is not read
	}
	if err := reply(w, p.Status, s.trouble(p)); err != nil {
		panic("page: a sentence cannot be sent: " + err.Error())
	}
}

// trouble is a problem as the pages read it.
func (s *server) trouble(p *Problem) trouble {
	t := trouble{s.outward(p.Message), s.outward(p.Hint), slices.Clone(p.Fields)}
	for k := range t.Fields {
		t.Fields[k].Error = s.outward(t.Fields[k].Error)
	}
	return t
}

// problem says how an error is answered.
func (s *server) problem(err error) *Problem {
	var known *Problem
	var tooLarge *http.MaxBytesError
	var entry *inspect.Error
	var window *trace.Error
	var unsure *plausible.UnsureError
	switch {
	case errors.As(err, &known):
		return known
	case errors.Is(err, ErrChanged):
		return errGone
	case errors.As(err, &tooLarge):
		return errTooLarge(tooLarge.Limit)
	case errors.As(err, &entry):
		return unprocessable(entry.Error(), entry.Hint(), FieldProblem{Field: entry.Field, Error: entry.Reason})
	case errors.As(err, &window):
		return unprocessable(window.Error(), window.Hint(), FieldProblem{Field: window.Field, Error: window.Detail})
	case errors.As(err, &unsure):
		return doubted(unsure)
	case errors.Is(err, context.Canceled):
		return &Problem{Status: http.StatusServiceUnavailable, Message: "it was broken off", Hint: "try again"}
	}
	status, hint := s.explain(err)
	if status < http.StatusBadRequest {
		status = http.StatusInternalServerError
	}
	return &Problem{Status: status, Message: err.Error(), Hint: hint}
}

// doubted says what is doubted, and what keeps it. What stands in a file is mended, or
// said again, in the form of the file.
func doubted(e *plausible.UnsureError) *Problem {
	p := unprocessable(e.Error(), "mend what is marked, or keep its value on purpose")
	for _, d := range e.Doubts {
		if d.Place != "" {
			return unprocessable(e.Error(), "open the form of the job, or of its procedure: mend the value, or save it and keep it on purpose")
		}
		p.Fields = append(p.Fields, FieldProblem{d.Field, d.Sentence(), d.Sure()})
	}
	return p
}

func errTooLarge(most int64) *Problem {
	return &Problem{
		Status: http.StatusRequestEntityTooLarge, Message: fmt.Sprintf("that is more than %s, the most that is taken", bytesText(most)),
		Hint: "send less; save a photograph with fewer pixels or more compression",
	}
}

func bytesText(n int64) string {
	if n >= 1<<20 {
		return fmt.Sprintf("%d MiB", n>>20)
	}
	return fmt.Sprintf("%d KiB", n>>10)
}

// tracked knows whether an answer has begun.
type tracked struct {
	http.ResponseWriter
	begun bool
}

// WriteHeader implements http.ResponseWriter.
func (t *tracked) WriteHeader(status int) {
	t.begun = true
	t.ResponseWriter.WriteHeader(status)
}

// Write implements http.ResponseWriter.
func (t *tracked) Write(b []byte) (int, error) {
	t.begun = true
	return t.ResponseWriter.Write(b)
}

// Unwrap is for http.ResponseController.
func (t *tracked) Unwrap() http.ResponseWriter { return t.ResponseWriter }
