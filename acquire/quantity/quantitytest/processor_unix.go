//go:build unix

package quantitytest

import (
	"syscall"
	"testing"
	"time"
)

// ProcessorTime is what this process has used of all cores, for the program and for the
// system on its behalf. Ratios are made of it: how long something takes on the wall says
// more of what else the machine does, and came out below what is possible on a busy one.
func ProcessorTime(tb testing.TB) time.Duration {
	tb.Helper()
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		tb.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
