//go:build !unix

package apart

import "syscall"

// aloof keeps a process away from the terminal, where there is a way to.
func aloof() *syscall.SysProcAttr { return nil }

// alone makes this process hold out where nobody reads what it says any more.
func alone() {}
