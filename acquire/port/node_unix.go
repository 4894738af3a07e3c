//go:build unix

package port

import (
	"errors"
	"io/fs"

	"go.bug.st/serial"
	"golang.org/x/sys/unix"
)

// openLine opens a port whose lock this program has.
func openLine(name string, mode *serial.Mode) (line, error) {
	p, err := serial.Open(name, mode)
	if err != nil {
		return nil, err
	}
	if err := p.SetReadTimeout(poll); err != nil {
		return nil, errors.Join(err, p.Close())
	}
	return p, nil
}

// nodeOf returns which node stands behind a name. It opens nothing.
func nodeOf(name string) (nodeID, error) {
	var stat unix.Stat_t
	if err := unix.Stat(name, &stat); err != nil {
		return nodeID{}, &fs.PathError{Op: "stat", Path: name, Err: err}
	}
	if stat.Mode&unix.S_IFMT != unix.S_IFCHR {
		return nodeID{}, errNotAPort
	}
	return nodeID{device: uint64(stat.Rdev), inode: stat.Ino, changed: stat.Ctim.Nano()}, nil
}

func (l *lock) checkDescriptors() error { return checkDescriptors(int(l.file.Fd())) }

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
