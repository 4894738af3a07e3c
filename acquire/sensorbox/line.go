package sensorbox

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"arctally/acquire/loopback"
)

// Line is what a box speaks on: its end of a serial line. Read and Write end with an error
// of the kind os.ErrDeadlineExceeded at their deadlines.
type Line interface {
	io.ReadWriteCloser
	Name() string // by which a reader opens the other end
	SetReadDeadline(time.Time) error
	SetWriteDeadline(time.Time) error
	// AwaitReader returns when a reader has the other end open.
	AwaitReader(context.Context) error
	// Held is how many bytes wait for the reader.
	Held() (int, error)
}

// openLine opens a pair of pseudo-terminals, or a line inside the program where there are none.
func openLine() (Line, error) {
	line, err := openTerminals()
	if errors.Is(err, errors.ErrUnsupported) {
		return loopback.New(), nil
	}
	return line, err
}

const (
	drainEvery = 5 * time.Millisecond
	drainLimit = 5 * time.Second // without a byte being read
)

// drain returns when the reader of a line has taken the last byte, or has taken none for as
// long as it is given.
func drain(ctx context.Context, line Line, limit time.Duration) error {
	quiet, before, since := 0, -1, time.Now()
	for quiet < 3 {
		left, err := line.Held()
		if err != nil {
			return fmt.Errorf("sensor box: count what %s holds: %w", line.Name(), err)
		}
		// Bytes on their way from one end to the other are not counted for a moment.
		if quiet++; left > 0 {
			quiet = 0
		}
		if left != before {
			before, since = left, time.Now()
		}
		if time.Since(since) > limit {
			return fmt.Errorf("sensor box: the reader of %s left %d bytes unread", line.Name(), left)
		}
		if err := wait(ctx, drainEvery); err != nil {
			return err
		}
	}
	return nil
}

func wait(ctx context.Context, d time.Duration) error {
	select {
	case <-ctx.Done():
		return ctx.Err()
	case <-time.After(d):
		return nil
	}
}
