package main

import (
	"os"
	"runtime"
	"strings"
	"time"

	"arctally/cmd/internal/apart"
	"arctally/cmd/internal/terminal"
)

// stumblingName is the name under which the tests' program is stumbling.
const stumblingName = "stumbling"

// stumbling is the program, but one page makes it panic: who asks for the time to say what is
// missing before a recording stumbles, deep below its request.
func stumbling() {
	if len(os.Args) == 2 && os.Args[1] == apart.Role {
		main()
	}
	screen := terminal.New(os.Stdout, os.Stderr)
	screen.Now = func() time.Time {
		callers := make([]uintptr, 4)
		frames := runtime.CallersFrames(callers[:runtime.Callers(2, callers)])
		for caller, more := frames.Next(); more; caller, more = frames.Next() {
			if strings.HasSuffix(caller.Function, "(*workshop).Before") {
				panic("the page fell over")
			}
		}
		return time.Now()
	}
	os.Exit(screen.Report(dispatch(prepare(), screen, commands(), os.Args[1:])))
}
