//go:build unix

package apart

import (
	"os/signal"
	"syscall"
)

// aloof keeps a process away from the terminal: what is typed there, and its end, do not
// reach it. It stays in the session of this one: Linux weighs sessions against one another,
// as autogroups, and how far a process stands back counts only among those of its own.
func aloof() *syscall.SysProcAttr { return &syscall.SysProcAttr{Setpgid: true} }

// How a person ends a process, by its number.
const (
	endWords  = "kill -TERM %d"
	killWords = "kill -KILL %d"
)

// alone makes this process hold out where nobody reads what it says any more.
func alone() { signal.Ignore(syscall.SIGHUP, syscall.SIGPIPE, syscall.SIGINT) }
