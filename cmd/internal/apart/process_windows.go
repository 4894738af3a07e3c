package apart

import (
	"syscall"

	"golang.org/x/sys/windows"
)

// aloof keeps a process away from the terminal: what is typed there, and its end, do not
// reach it.
func aloof() *syscall.SysProcAttr {
	return &syscall.SysProcAttr{CreationFlags: windows.DETACHED_PROCESS | windows.CREATE_NEW_PROCESS_GROUP}
}

// How a person ends a process, by its number: one without a window can only be killed.
const (
	endWords  = "taskkill /F /PID %d"
	killWords = endWords
)

// alone has nothing to do: a process without a terminal gets no signals.
func alone() {}
