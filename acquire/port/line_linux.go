package port

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"time"

	"go.bug.st/serial"
	"golang.org/x/sys/unix"
)

// polled is a line that waits in the poller of the Go runtime. The library blocks a
// thread of the system in select(2), and the runtime looks after a thread that is
// blocked so up to ten thousand times a second: that was a third of what an idle
// recorder took. The library's own opening of the node only sets the mode.
type polled struct {
	file *os.File
	mode serial.Port
}

// openLine opens the node behind a name twice, ours first: the library asks for
// exclusive use of the line, and then nobody but root may open it again.
func openLine(name string, mode *serial.Mode) (line, error) {
	file, err := os.OpenFile(name, unix.O_RDWR|unix.O_NOCTTY|unix.O_NONBLOCK, 0)
	if err != nil {
		return nil, err
	}
	p, err := serial.Open(name, mode)
	if err != nil {
		return nil, errors.Join(err, file.Close())
	}
	l := &polled{file, p}
	// What the poller cannot wait for takes no deadline, and could not be woken.
	if err := file.SetDeadline(time.Time{}); err != nil {
		return nil, errors.Join(err, l.Close())
	}
	return l, nil
}

// Read implements io.Reader: it waits for bytes. An adapter that was pulled out reads
// as the end of a file.
func (l *polled) Read(buf []byte) (int, error) {
	n, err := l.file.Read(buf)
	if errors.Is(err, io.EOF) {
		return n, errGone
	}
	return n, plain(err)
}

// Write implements io.Writer.
func (l *polled) Write(data []byte) (int, error) {
	n, err := l.file.Write(data)
	return n, plain(err)
}

// SetMode implements line.
func (l *polled) SetMode(mode *serial.Mode) error { return l.mode.SetMode(mode) }

// wake implements line.
func (l *polled) wake() { _ = l.file.SetDeadline(time.Unix(1, 0)) } // a file that takes one when it is opened does until it is closed

// Close implements io.Closer.
func (l *polled) Close() error { return errors.Join(l.file.Close(), l.mode.Close()) }

// plain is an error without the name of the node, which the port names its own way.
func plain(err error) error {
	var of *fs.PathError
	switch {
	case errors.Is(err, os.ErrDeadlineExceeded):
		return errShut
	case errors.As(err, &of):
		return of.Err
	default:
		return err
	}
}
