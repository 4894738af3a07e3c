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
	w.WriteHeader(http.StatusOK)
	if r.Method == http.MethodHead {
		return nil
	}
	out := stream{w, http.NewResponseController(w)}
	if out.send(fmt.Appendf(nil, "retry: %d\n\n", reconnect)) != nil || out.messages(p.first(lastID == "")) != nil {
		return nil // nobody is there to be told
	}
	out.follow(r, p)
	return nil
}

// stream is the way to one browser.
type stream struct {
	w       http.ResponseWriter
	control *http.ResponseController
}

// follow sends until an end goes away. A browser that does not read for a while
// is taken to be gone: a phone that sleeps must hold nothing here.
func (s stream) follow(r *http.Request, p *page) {
	beat := time.NewTicker(heartbeat)
	defer beat.Stop()
	for {
		var err error
		select {
		case <-r.Context().Done():
			return
		case _, open := <-p.wake:
			if !open {
				return
			}
			err = s.messages(p.next())
		case <-beat.C:
			err = s.send([]byte(": still here\n\n"))
		}
		if err != nil {
			return
		}
	}
}

func (s stream) messages(messages []message) error {
	var b bytes.Buffer
	for _, m := range messages {
		fmt.Fprintf(&b, "id: %s\nevent: %s\ndata: %s\n\n", m.id, m.kind, m.data)
	}
	return s.send(b.Bytes())
}

func (s stream) send(text []byte) error {
	if err := s.control.SetWriteDeadline(time.Now().Add(patience)); err != nil && !errors.Is(err, errors.ErrUnsupported) {
		return err
	}
	if _, err := s.w.Write(text); err != nil {
		return err
	}
	return s.control.Flush()
}
