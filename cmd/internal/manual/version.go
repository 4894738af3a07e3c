package manual

import (
	"fmt"
	"runtime"
	"runtime/debug"
)

// Version is that of the program, as the Go tools stamp it.
func Version() string {
	if info, ok := debug.ReadBuildInfo(); ok {
		return info.Main.Version
	}
	return "(unknown)"
}

// Build is the version in one line, with what it was made by and for.
func (p *Program) Build() string {
	return fmt.Sprintf("%s %s (%s, %s/%s)\n", p.Name, p.Version, runtime.Version(), runtime.GOOS, runtime.GOARCH)
}
