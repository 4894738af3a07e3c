package links

import (
	"context"
	"errors"
	"io"
	"time"

	"arctally/acquire/port"
	"arctally/acquire/series"
)

// errGone is a port that was unplugged while it was listened to.
var errGone = errors.New("it was unplugged while it was listened to")

// wire is a port whose bytes come by a channel, so that one can wait for them no longer
// than one wants.
type wire struct {
	line *port.Port
	now  func() time.Time
	came chan []byte
	gone chan struct{}
	done chan struct{} // closed by close: nobody takes any more
}

func newWire(ctx context.Context, line *port.Port, now func() time.Time) *wire {
	w := &wire{line: line, now: now, came: make(chan []byte), gone: make(chan struct{}, 1), done: make(chan struct{})}
	line.Watch(func(e series.Event) {
		select {
		case w.gone <- struct{}{}:
		default: // it is known already
		}
	})
	go w.read(ctx)
	return w
}

// read reads until the port is closed.
func (w *wire) read(ctx context.Context) {
	defer close(w.came)
	buf := make([]byte, 4096)
	for {
		n, err := w.line.Read(buf)
		if n > 0 {
			select {
			case w.came <- append([]byte(nil), buf[:n]...):
			case <-w.done:
				return
			case <-ctx.Done():
				return
			}
		}
		if err != nil {
			return
		}
	}
}

// hear implements aWire.
func (w *wire) hear(ctx context.Context, atMost time.Duration) ([]byte, time.Time, error) {
	timer := time.NewTimer(atMost)
	defer timer.Stop()
	select {
	case <-ctx.Done():
		return nil, w.now(), ctx.Err()
	case <-w.gone:
		return nil, w.now(), errGone
	case bytes, open := <-w.came:
		if !open {
			return nil, w.now(), errGone
		}
		return bytes, w.now(), nil
	case <-timer.C:
		return nil, w.now(), nil
	}
}

// retune implements aWire.
func (w *wire) retune(baud int) error { return w.line.Retune(baud) }

// Read implements io.Reader for who asks on the line: nothing within a look is (0, nil),
// as with a serial port that has a time-out.
func (w *wire) Read(p []byte) (int, error) {
	bytes, _, err := w.hear(context.Background(), oneLook)
	if errors.Is(err, errGone) {
		return 0, io.EOF
	}
	return copy(p, bytes), nil
}

// Write implements io.Writer for who asks on the line.
func (w *wire) Write(p []byte) (int, error) { return w.line.Write(p) }

// close closes the port.
func (w *wire) close() error {
	close(w.done)
	return w.line.Close()
}
