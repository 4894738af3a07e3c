package sensorbox

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"golang.org/x/sys/unix"
)

const (
	lookEvery  = 50 * time.Millisecond  // for a reader
	settleTime = 150 * time.Millisecond // for a reader to set up its port and throw away what was in it
	drainEvery = 5 * time.Millisecond
	drainLimit = 5 * time.Second // without a byte being read
)

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

// awaitReader returns when somebody else has the reader's end open. The kernel
// tells nobody of an opening while the box holds that end itself, so the open
// files of the processes are looked through; a reader whose files the box may not
// see, another user's, is not noticed.
func (p port) awaitReader(ctx context.Context) error {
	for p.holders() < 2 {
		if err := wait(ctx, lookEvery); err != nil {
			return err
		}
	}
	return wait(ctx, settleTime)
}

// holders counts the open files, of all processes that may be looked at, that
// are the reader's end.
func (p port) holders() int {
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

// drain returns when the reader has taken the last byte, or has taken none for as
// long as it is given.
func (p port) drain(ctx context.Context, limit time.Duration) error {
	quiet, before, since := 0, -1, time.Now()
	for quiet < 3 {
		left := 0
		err := onDescriptor(p.slave, func(fd int) (err error) {
			left, err = unix.IoctlGetInt(fd, unix.TIOCINQ)
			return err
		})
		if err != nil {
			return fmt.Errorf("sensor box: count what %s holds: %w", p.slave.Name(), err)
		}
		// Bytes on their way from one end to the other are not counted for a moment.
		if quiet++; left > 0 {
			quiet = 0
		}
		if left != before {
			before, since = left, time.Now()
		}
		if time.Since(since) > limit {
			return fmt.Errorf("sensor box: the reader of %s left %d bytes unread", p.slave.Name(), left)
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

// pacer holds the box back to its share of the wall clock.
type pacer struct {
	ctx   context.Context
	start time.Time
	speed float64 // 0 does not hold it back
}

// leastWait is the shortest time worth going to sleep for.
const leastWait = 2 * time.Millisecond

func (p pacer) pace(since int64) error {
	if p.speed == 0 {
		return nil
	}
	ahead := time.Duration(float64(since)/p.speed) - time.Since(p.start)
	if ahead < leastWait {
		return nil
	}
	return wait(p.ctx, ahead)
}
