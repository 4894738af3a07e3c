//go:build unix

package apart

import (
	"os/signal"
	"syscall"
)

// aloof keeps a process away from the terminal: what is typed there, and its end, do not
// reach it.
func aloof() *syscall.SysProcAttr { return &syscall.SysProcAttr{Setsid: true} }

// alone makes this process hold out where nobody reads what it says any more.
func alone() { signal.Ignore(syscall.SIGHUP, syscall.SIGPIPE, syscall.SIGINT) }
