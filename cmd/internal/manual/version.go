package manual

import (
	"fmt"
	"runtime"
	"runtime/debug"
)

// released is the version of a program that is handed out; make dist puts it here.
var released string

// Version is that of the program: the one under which it was handed out, or else the one
// that the Go tools stamp.
func Version() string {
	if released != "" {
		return released
	}
	if info, ok := debug.ReadBuildInfo(); ok {
		return info.Main.Version
	}
	return "(unknown)"
}

// Build is the version in one line, with what it was made by and for.
func (p *Program) Build() string {
	return fmt.Sprintf("%s %s (%s, %s/%s)\n", p.Name, p.Version, runtime.Version(), runtime.GOOS, runtime.GOARCH)
}
