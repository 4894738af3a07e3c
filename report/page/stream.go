package page

import (
	"bytes"
	"errors"
	"fmt"
	"net/http"
	"time"
)

const (
	heartbeat = 10 * time.Second // a comment, so that both ends see a dead line
	reconnect = 1000             // ms after which a browser tries again
	patience  = 20 * time.Second // for a browser that does not read
)

// events sends what changes until the browser goes away.
func (s *server) events(w http.ResponseWriter, r *http.Request) error {
	lastID := r.Header.Get("Last-Event-ID")
	p, err := s.hub.listen(lastID)
	if err != nil {
		return err
	}
	defer p.leave()
	header := w.Header()
	header.Set("Content-Type", "text/event-stream")
	header.Set("Cache-Control", "no-store")
	header.Set("X-Accel-Buffering", "no") // a proxy in between must not wait
	header.Add("Vary", "Accept-Encoding")
	out := stream{w: w, control: http.NewResponseController(w)}
	if takesGzip(r) {
		out.packed = &packedStream{hub: s.hub}
		header.Set("Content-Encoding", "gzip")
		s.hub.packs(1)
		defer s.hub.packs(-1)
	}
	w.WriteHeader(http.StatusOK)
	if r.Method == http.MethodHead {
		return nil
	}
	if out.begin(fmt.Appendf(nil, "retry: %d\n\n", reconnect)) == nil && out.messages(p.first(lastID == "")) == nil {
		out.follow(r, p)
	} // else nobody is there to be told
	return nil
}

// stream is the way to one browser.
type stream struct {
	w       http.ResponseWriter
	control *http.ResponseController
	packed  *packedStream // nil is plain
}

// follow sends until an end goes away. A browser that does not read for a while
// is taken to be gone: a phone that sleeps must hold nothing here.
func (s *stream) follow(r *http.Request, p *page) {
	beat := time.NewTicker(heartbeat)
	defer beat.Stop()
	for {
		var err error
		select {
		case <-r.Context().Done():
			return
		case _, open := <-p.wake:
			if !open {
				s.end()
				return
			}
			err = s.messages(p.next())
		case <-beat.C:
			err = s.beat()
		}
		if err != nil {
			return
		}
	}
}

func (s *stream) begin(text []byte) error {
	if s.packed == nil {
		return s.send(text)
	}
	return s.send(append(bytes.Clone(gzipHead), s.packed.comment(text)...))
}

// beat shows that the line is not dead.
func (s *stream) beat() error {
	text := []byte(": still here\n\n")
	if s.packed != nil {
		text = s.packed.comment(text)
	}
	return s.send(text)
}

// end tells a browser that it has got all.
func (s *stream) end() {
	if s.packed != nil {
		_ = s.send(gzipTail(s.packed.sum, s.packed.length)) // who is not there any more misses nothing
	}
}

func (s *stream) messages(messages []message) error {
	var b bytes.Buffer
	for k := range messages {
		m := &messages[k]
		if s.packed == nil {
			b.Write(m.text)
		} else {
			b.Write(s.packed.message(m))
		}
	}
	return s.send(b.Bytes())
}

func (s *stream) send(text []byte) error {
	if err := s.control.SetWriteDeadline(time.Now().Add(patience)); err != nil && !errors.Is(err, errors.ErrUnsupported) {
		return err
	}
	if _, err := s.w.Write(text); err != nil {
		return err
	}
	return s.control.Flush()
}
