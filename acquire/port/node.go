package port

import (
	"errors"
	"io/fs"
	"os"
	"syscall"

	"go.bug.st/serial"
	"golang.org/x/sys/unix"
)

// openNode opens and locks the node behind a name.
func openNode(name string, baud int, lockDir string) (*handle, error) {
	device, err := deviceOf(name)
	if err != nil {
		return nil, wrap("open", name, err)
	}
	l, err := takeLock(lockDir, device)
	if err != nil {
		return nil, wrap("lock", name, err)
	}
	p, err := openLocked(name, baud, device, l)
	if err != nil {
		return nil, wrap("open", name, errors.Join(err, l.release()))
	}
	return &handle{port: p, lock: l, closed: make(chan struct{})}, nil
}

func openLocked(name string, baud int, device uint64, l *lock) (serial.Port, error) {
	if err := checkDescriptors(int(l.file.Fd())); err != nil {
		return nil, err
	}
	p, err := serial.Open(name, &serial.Mode{BaudRate: baud, DataBits: 8, Parity: serial.NoParity, StopBits: serial.OneStopBit})
	if err != nil {
		return nil, err
	}
	// The name may have come to mean another node since it was locked.
	if now, err := deviceOf(name); err != nil || now != device {
		return nil, errors.Join(fs.ErrNotExist, p.Close())
	}
	if err := p.SetReadTimeout(poll); err != nil {
		return nil, errors.Join(err, p.Close())
	}
	return p, nil
}

// deviceOf returns the device number of the character device behind a name.
func deviceOf(name string) (uint64, error) {
	info, err := os.Stat(name)
	if err != nil {
		return 0, err
	}
	stat, ok := info.Sys().(*syscall.Stat_t)
	if !ok || info.Mode()&os.ModeCharDevice == 0 {
		return 0, errNotAPort
	}
	return uint64(stat.Rdev), nil
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
