package port

import (
	"errors"
	"fmt"
	"io/fs"
	"os"

	"go.bug.st/serial"
)

// Kind tells the causes of an error apart.
type Kind uint8

// The kinds of error.
const (
	Other      Kind = iota // none of the following
	Missing                // no such name, or the adapter is not plugged in
	Busy                   // another process, or another part of this one, has it
	Permission             // the user may not open it
	NotAPort               // something is there, but no serial port
	Closed                 // the port was closed before the call
	Unplugged              // the adapter went away during the call
)

// String returns a word for the kind.
func (k Kind) String() string {
	words := [...]string{"failed", "missing", "busy", "permission denied", "not a serial port", "closed", "unplugged"}
	if int(k) >= len(words) {
		return "unknown"
	}
	return words[k]
}

// Error is a failed operation on a port.
type Error struct {
	Op     string // open, lock, read, write, close
	Port   string // as the job names it
	Kind   Kind
	Holder int   // process that has a busy port; 0 is not known
	Err    error // the cause below; may be nil
}

// Error returns the operation, the port and the cause.
func (e *Error) Error() string {
	text := fmt.Sprintf("%s port %s: %s", e.Op, e.Port, e.Kind)
	if e.Holder != 0 {
		text += fmt.Sprintf(", held by process %d", e.Holder)
		if name := processName(e.Holder); name != "" {
			text += " (" + name + ")"
		}
	}
	if e.Err != nil {
		text += ": " + e.Err.Error()
	}
	return text
}

// Unwrap returns the cause.
func (e *Error) Unwrap() error { return e.Err }

func isMissing(err error) bool {
	var e *Error
	return errors.As(err, &e) && e.Kind == Missing
}

// processName returns the name of a process, or "" where the system does not tell.
func processName(pid int) string {
	b, err := os.ReadFile(fmt.Sprintf("/proc/%d/comm", pid))
	if err != nil || len(b) == 0 {
		return ""
	}
	return string(b[:len(b)-1])
}

var (
	errNotAPort    = errors.New("it is not a character device")
	errDescriptors = errors.New("too many files are open in this process")
	errBaud        = errors.New("the baud rate must be above zero")
	errShut        = errors.New("the handle is shut")
	errStuck       = errors.New("a write is stuck in the driver; the port closes when it ends")
)

// wrap names the operation and the port, and finds the kind in the cause.
func wrap(op, name string, err error) *Error {
	e := &Error{Op: op, Port: name, Kind: Other, Err: err}
	var held errHeld
	var coded *serial.PortError
	switch {
	case errors.As(err, &held):
		e.Kind, e.Holder, e.Err = Busy, held.holder, nil
	case errors.As(err, &coded):
		if e.Kind = kindOf(coded.Code()); e.Kind == Unplugged {
			// The library's word for it is that somebody closed the port.
			e.Err = nil
		}
	case isEnded(err):
		e.Kind, e.Err = Unplugged, nil
	case errors.Is(err, fs.ErrNotExist), isGone(err):
		e.Kind = Missing
	case errors.Is(err, fs.ErrPermission):
		e.Kind = Permission
	case errors.Is(err, errNotAPort), isNoLine(err):
		e.Kind = NotAPort
	}
	return e
}

func kindOf(code serial.PortErrorCode) Kind {
	switch code {
	case serial.PortBusy:
		return Busy
	case serial.PortNotFound:
		return Missing
	case serial.PermissionDenied:
		return Permission
	case serial.InvalidSerialPort:
		return NotAPort
	case serial.PortClosed:
		return Unplugged
	default:
		return Other
	}
}
