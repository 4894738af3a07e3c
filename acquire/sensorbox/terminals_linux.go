package sensorbox

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"github.com/creack/pty"
	"golang.org/x/sys/unix"
)

const (
	lookEvery  = 50 * time.Millisecond  // for a reader
	settleTime = 150 * time.Millisecond // for a reader to set up its port and throw away what was in it
)

// terminals is a pair of pseudo-terminals. The box keeps the reader's end open as
// well, so that its settings last and what is not yet read can be counted.
type terminals struct {
	master, slave *os.File
}

func openTerminals() (Line, error) {
	master, slave, err := pty.Open()
	if err != nil {
		return nil, fmt.Errorf("sensor box: open a pseudo-terminal: %w", err)
	}
	polled, err := pollable(master)
	if err = errors.Join(err, master.Close(), makeRaw(slave)); err != nil {
		err = fmt.Errorf("sensor box: set up %s: %w", slave.Name(), err)
		if polled != nil {
			err = errors.Join(err, polled.Close())
		}
		return nil, errors.Join(err, slave.Close())
	}
	return &terminals{polled, slave}, nil
}

// Name implements Line.
func (p *terminals) Name() string { return p.slave.Name() }

// Read implements Line.
func (p *terminals) Read(b []byte) (int, error) { return p.master.Read(b) }

// Write implements Line.
func (p *terminals) Write(b []byte) (int, error) { return p.master.Write(b) }

// SetReadDeadline implements Line.
func (p *terminals) SetReadDeadline(t time.Time) error { return p.master.SetReadDeadline(t) }

// SetWriteDeadline implements Line.
func (p *terminals) SetWriteDeadline(t time.Time) error { return p.master.SetWriteDeadline(t) }

// Held implements Line.
func (p *terminals) Held() (left int, err error) {
	err = onDescriptor(p.slave, func(fd int) (err error) {
		left, err = unix.IoctlGetInt(fd, unix.TIOCINQ)
		return err
	})
	return left, err
}

// Close implements Line.
func (p *terminals) Close() error { return errors.Join(p.slave.Close(), p.master.Close()) }

// makeRaw passes every byte as it is, and sends none back.
func makeRaw(f *os.File) error {
	return onDescriptor(f, func(fd int) error {
		t, err := unix.IoctlGetTermios(fd, unix.TCGETS)
		if err != nil {
			return err
		}
		t.Iflag &^= unix.IGNBRK | unix.BRKINT | unix.PARMRK | unix.ISTRIP | unix.INLCR | unix.IGNCR | unix.ICRNL | unix.IXON
		t.Oflag &^= unix.OPOST
		t.Lflag &^= unix.ECHO | unix.ECHONL | unix.ICANON | unix.ISIG | unix.IEXTEN
		t.Cflag = t.Cflag&^(unix.CSIZE|unix.PARENB) | unix.CS8
		t.Cc[unix.VMIN], t.Cc[unix.VTIME] = 1, 0
		return unix.IoctlSetTermios(fd, unix.TCSETS, t)
	})
}

// pollable opens a file once more, for the runtime's poller: a write that waits
// there can be ended, one inside the kernel cannot.
func pollable(f *os.File) (*os.File, error) {
	fd := -1
	err := onDescriptor(f, func(old int) (err error) {
		if fd, err = unix.FcntlInt(uintptr(old), unix.F_DUPFD_CLOEXEC, 0); err != nil {
			return err
		}
		return unix.SetNonblock(fd, true)
	})
	if err != nil {
		if fd >= 0 {
			err = errors.Join(err, unix.Close(fd))
		}
		return nil, err
	}
	return os.NewFile(uintptr(fd), f.Name()), nil
}

// onDescriptor runs an ioctl without taking the file out of the poller, as
// File.Fd would: a blocked write could then not be ended.
func onDescriptor(f *os.File, do func(fd int) error) error {
	raw, err := f.SyscallConn()
	if err != nil {
		return err
	}
	var inner error
	if err := raw.Control(func(fd uintptr) { inner = do(int(fd)) }); err != nil {
		return err
	}
	return inner
}

// AwaitReader returns when somebody else has the reader's end open. The kernel
// tells nobody of an opening while the box holds that end itself, so the open
// files of the processes are looked through; a reader whose files the box may not
// see, another user's, is not noticed.
func (p *terminals) AwaitReader(ctx context.Context) error {
	for p.holders() < 2 {
		if err := wait(ctx, lookEvery); err != nil {
			return err
		}
	}
	return wait(ctx, settleTime)
}

// holders counts the open files, of all processes that may be looked at, that
// are the reader's end.
func (p *terminals) holders() int {
	n := 0
	links, err := filepath.Glob("/proc/[0-9]*/fd/[0-9]*")
	if err != nil {
		panic("sensorbox: " + err.Error())
	}
	for _, l := range links {
		// A file that was closed meanwhile, or is not ours to see, is no reader.
		if target, err := os.Readlink(l); err == nil && target == p.slave.Name() {
			n++
		}
	}
	return n
}
