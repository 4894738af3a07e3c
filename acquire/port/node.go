package port

import (
	"errors"
	"io/fs"

	"go.bug.st/serial"
	"golang.org/x/sys/unix"
)

// openNode opens and locks the node behind a name.
func openNode(name string, mode *serial.Mode, lockDir string) (*handle, error) {
	node, err := nodeBehind(name)
	if err != nil {
		return nil, wrap("open", name, err)
	}
	l, err := takeLock(lockDir, node.device)
	if err != nil {
		return nil, wrap("lock", name, err)
	}
	p, err := openLocked(name, mode, node.device, l)
	if err != nil {
		return nil, wrap("open", name, errors.Join(err, l.release()))
	}
	return &handle{port: p, lock: l, closed: make(chan struct{})}, nil
}

func openLocked(name string, mode *serial.Mode, device uint64, l *lock) (serial.Port, error) {
	if err := checkDescriptors(int(l.file.Fd())); err != nil {
		return nil, err
	}
	p, err := serial.Open(name, mode)
	if err != nil {
		return nil, err
	}
	// The name may have come to mean another node since it was locked.
	if now, err := nodeBehind(name); err != nil || now.device != device {
		return nil, errors.Join(fs.ErrNotExist, p.Close())
	}
	if err := p.SetReadTimeout(poll); err != nil {
		return nil, errors.Join(err, p.Close())
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

// nodeID tells a node from the one that stood there before it, also where it has
// the same number: an adapter that comes back makes a new node, and a system that
// hands it to our group changes it.
type nodeID struct {
	device, inode uint64
	changed       unix.Timespec
}

// nodeBehind returns which node stands behind a name. It opens nothing.
func nodeBehind(name string) (nodeID, error) {
	var stat unix.Stat_t
	if err := unix.Stat(name, &stat); err != nil {
		return nodeID{}, &fs.PathError{Op: "stat", Path: name, Err: err}
	}
	if stat.Mode&unix.S_IFMT != unix.S_IFCHR {
		return nodeID{}, errNotAPort
	}
	return nodeID{uint64(stat.Rdev), stat.Ino, stat.Ctim}, nil
}

// checkDescriptors fails where the library would be given a descriptor beyond
// the 1024 that select(2) can watch: it panics then. It takes three, for the
// port and for the pipe that wakes a reader.
func checkDescriptors(like int) error {
	var taken []int
	var err error
	for len(taken) < 3 && err == nil {
		var fd int
		if fd, err = unix.FcntlInt(uintptr(like), unix.F_DUPFD_CLOEXEC, 0); err == nil {
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
