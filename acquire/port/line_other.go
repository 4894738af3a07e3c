//go:build !linux

package port

import (
	"errors"
	"time"

	"go.bug.st/serial"
	"golang.org/x/sys/unix"
)

// poll is the read time-out: how long Close may wait for a reader.
const poll = 50 * time.Millisecond

var errDescriptors = errors.New("too many files are open in this process")

// waiting is a line as the library has it, which blocks a thread of the system.
type waiting struct{ serial.Port }

// openLine opens the node behind a name.
func openLine(name string, mode *serial.Mode) (line, error) {
	if err := checkDescriptors(); err != nil {
		return nil, err
	}
	p, err := serial.Open(name, mode)
	if err != nil {
		return nil, err
	}
	if err := p.SetReadTimeout(poll); err != nil {
		return nil, errors.Join(err, p.Close())
	}
	return waiting{p}, nil
}

// wake implements line: nothing wakes a write, and a read wakes by itself soon.
func (waiting) wake() {}

// checkDescriptors fails where the library would be given a descriptor beyond
// the 1024 that select(2) can watch: it panics then. It takes three, for the
// port and for the pipe that wakes a reader.
func checkDescriptors() error {
	var taken []int
	var err error
	for len(taken) < 3 && err == nil {
		var fd int
		if fd, err = unix.Open("/dev/null", unix.O_RDONLY|unix.O_CLOEXEC, 0); err == nil {
			taken = append(taken, fd)
			if fd >= unix.FD_SETSIZE {
				err = errDescriptors
			}
		}
	}
	for _, fd := range taken {
		err = errors.Join(err, unix.Close(fd))
	}
	return err
}
