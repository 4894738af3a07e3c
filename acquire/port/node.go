package port

import (
	"errors"
	"io"
	"io/fs"

	"go.bug.st/serial"

	"arctally/acquire/loopback"
)

// nodeID tells a node from the one that stood there before it, also where it has
// the same number: an adapter that comes back makes a new node, and a system that
// hands it to our group changes it.
type nodeID struct {
	device, inode uint64
	changed       int64  // ns
	target        string // on Windows, which has no numbers: the device that the name means
}

// line is what a handle needs of a serial port. A read that brings nothing within poll returns
// neither bytes nor an error.
type line interface {
	io.ReadWriteCloser
	SetMode(*serial.Mode) error
}

// openNode opens and locks the node behind a name.
func openNode(name string, mode *serial.Mode, lockDir string) (*handle, error) {
	if loopback.Is(name) {
		return openLoopback(name)
	}
	node, err := nodeOf(name)
	if err != nil {
		return nil, wrap("open", name, err)
	}
	l, err := takeLock(lockDir, node.device)
	if err != nil {
		return nil, wrap("lock", name, err)
	}
	p, err := openLocked(name, mode, node, l)
	if err != nil {
		return nil, wrap("open", name, errors.Join(err, l.release()))
	}
	return newHandle(p, l.release), nil
}

func openLocked(name string, mode *serial.Mode, node nodeID, l *lock) (line, error) {
	if err := l.checkDescriptors(); err != nil {
		return nil, err
	}
	p, err := openLine(name, mode)
	if err != nil {
		return nil, err
	}
	// The name may have come to mean another node since it was locked.
	if now, err := nodeOf(name); err != nil || now.device != node.device || now.target != node.target {
		return nil, errors.Join(fs.ErrNotExist, p.Close())
	}
	return p, nil
}

// modeOf is 8N1 at a baud rate, or 8E1.
func modeOf(baud int, even bool) *serial.Mode {
	mode := &serial.Mode{BaudRate: baud, DataBits: 8, Parity: serial.NoParity, StopBits: serial.OneStopBit}
	if even {
		mode.Parity = serial.EvenParity
	}
	return mode
}

// nodeBehind returns which node stands behind a name. It opens nothing.
func nodeBehind(name string) (nodeID, error) {
	if !loopback.Is(name) {
		return nodeOf(name)
	}
	if !loopback.Plugged(name) {
		return nodeID{}, fs.ErrNotExist
	}
	return nodeID{target: name}, nil
}

// openLoopback opens a line inside this program.
func openLoopback(name string) (*handle, error) {
	end, err := loopback.Open(name)
	if errors.Is(err, loopback.ErrBusy) {
		return nil, &Error{Op: "open", Port: name, Kind: Busy}
	} else if err != nil {
		return nil, wrap("open", name, err)
	}
	return newHandle(inside{end}, func() error { return nil }), nil
}

// inside is a line inside this program, which has no baud rate.
type inside struct{ *loopback.End }

// Read returns (0, nil) where nothing comes for a while, as a serial port does.
func (l inside) Read(buf []byte) (int, error) { return l.ReadWithin(buf, poll) }

// SetMode implements line.
func (inside) SetMode(*serial.Mode) error { return nil }
