package port

import (
	"errors"
	"io"
	"math"

	"go.bug.st/serial"
	"golang.org/x/sys/windows"
)

// com is an open serial port of Windows.
//
// The system writes into a transfer and its bytes until it is through with them, long after
// the call that began it has returned. So both lie in the heap. The library has its own on the
// stack of the goroutine that reads, and a stack moves: the system then tells the place where
// it was, the read seems to have brought nothing, and what it did bring is lost.
type com struct {
	handle           windows.Handle
	reading, writing transfer
}

// transfer is one read or one write at a time.
type transfer struct {
	overlapped windows.Overlapped
	done       uint32 // bytes
	bytes      [comPiece]byte
}

// comPiece is the most that one read brings, or one write takes, in bytes: tens of milliseconds
// of the fastest box.
const comPiece = 16 << 10

// openLine opens a port that this program has for itself.
func openLine(name string, mode *serial.Mode) (line, error) {
	path, err := windows.UTF16PtrFromString(devicePath(name))
	if err != nil {
		return nil, err
	}
	handle, err := windows.CreateFile(path, windows.GENERIC_READ|windows.GENERIC_WRITE, 0, nil, windows.OPEN_EXISTING, windows.FILE_FLAG_OVERLAPPED, 0)
	if errors.Is(err, windows.ERROR_ACCESS_DENIED) {
		return nil, errHeld{} // so it says of a port that another program has
	} else if err != nil {
		return nil, err
	}
	c := &com{handle: handle}
	if err := c.prepare(mode); err != nil {
		return nil, errors.Join(err, c.Close())
	}
	return c, nil
}

func (c *com) prepare(mode *serial.Mode) error {
	for _, t := range []*transfer{&c.reading, &c.writing} {
		event, err := windows.CreateEvent(nil, 1, 0, nil) // which each transfer resets
		if err != nil {
			return err
		}
		t.overlapped.HEvent = event
	}
	if err := c.SetMode(mode); err != nil {
		return err
	}
	// So a read brings at once what is there, and waits for the first byte where nothing is.
	return windows.SetCommTimeouts(c.handle, &windows.CommTimeouts{
		ReadIntervalTimeout: math.MaxUint32, ReadTotalTimeoutMultiplier: math.MaxUint32,
		ReadTotalTimeoutConstant: uint32(poll.Milliseconds()),
	})
}

// binary is the one way in which Windows has serial lines.
const binary = 0x1

// SetMode implements line: eight data bits and one stop bit, and no handshake that would take
// bytes out of the stream.
func (c *com) SetMode(mode *serial.Mode) error {
	var state windows.DCB
	if err := windows.GetCommState(c.handle, &state); err != nil {
		return errNotAPort
	}
	state.Flags = binary | windows.DTR_CONTROL_ENABLE | windows.RTS_CONTROL_ENABLE
	state.BaudRate = uint32(mode.BaudRate)
	state.ByteSize, state.StopBits, state.Parity = 8, windows.ONESTOPBIT, windows.NOPARITY
	if mode.Parity == serial.EvenParity {
		state.Parity = windows.EVENPARITY
	}
	return windows.SetCommState(c.handle, &state)
}

// Read implements line.
func (c *com) Read(p []byte) (int, error) {
	n, err := c.wait(&c.reading, c.beginRead(len(p)))
	return copy(p, c.reading.bytes[:n]), err
}

// Write implements line.
func (c *com) Write(p []byte) (int, error) {
	t := &c.writing
	most := copy(t.bytes[:], p)
	n, err := c.wait(t, windows.WriteFile(c.handle, t.bytes[:most], &t.done, t.anew()))
	if err == nil && n < len(p) {
		err = io.ErrShortWrite
	}
	return n, err
}

// beginRead has the system bring so many bytes at most.
func (c *com) beginRead(most int) error {
	t := &c.reading
	return windows.ReadFile(c.handle, t.bytes[:min(most, comPiece)], &t.done, t.anew())
}

// anew makes the transfer ready for the next one.
func (t *transfer) anew() *windows.Overlapped {
	t.overlapped, t.done = windows.Overlapped{HEvent: t.overlapped.HEvent}, 0
	return &t.overlapped
}

// wait returns how many bytes went over in a transfer that has begun.
func (c *com) wait(t *transfer, err error) (int, error) {
	if errors.Is(err, windows.ERROR_IO_PENDING) {
		err = windows.GetOverlappedResult(c.handle, &t.overlapped, &t.done, true)
	}
	return int(t.done), err
}

// Close implements line. No transfer is under way.
func (c *com) Close() error {
	err := windows.CloseHandle(c.handle)
	for _, t := range []*transfer{&c.reading, &c.writing} {
		if t.overlapped.HEvent != 0 {
			err = errors.Join(err, windows.CloseHandle(t.overlapped.HEvent))
		}
	}
	return err
}
