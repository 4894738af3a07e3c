package quantitytest

import (
	"testing"
	"time"

	"golang.org/x/sys/windows"
)

// ProcessorTime is what this process has used of all cores, for the program and for the
// system on its behalf.
func ProcessorTime(tb testing.TB) time.Duration {
	tb.Helper()
	var made, ended, kernel, user windows.Filetime
	if err := windows.GetProcessTimes(windows.CurrentProcess(), &made, &ended, &kernel, &user); err != nil {
		tb.Fatal(err)
	}
	const step = 100 * time.Nanosecond // of these two, which are no times of day
	return time.Duration(int64(kernel.HighDateTime+user.HighDateTime)<<32+int64(kernel.LowDateTime)+int64(user.LowDateTime)) * step
}
