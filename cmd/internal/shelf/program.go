package shelf

import (
	"fmt"
	"os"
	"runtime/debug"
)

// ThisProgram tells this program from every other build of it: by what the Go tools
// stamped into it, and by size and time of its file, as two builds of sources that were
// not committed are stamped alike. It is false where that is not known. It must be asked
// as the program begins: later another one may lie in its place.
func ThisProgram() (string, bool) {
	info, ok := debug.ReadBuildInfo()
	file, err := os.Executable()
	if err != nil || !ok {
		return "", false
	}
	stat, err := os.Stat(file)
	if err != nil {
		return "", false
	}
	return fmt.Sprintf("%s\n%d bytes of %d", info, stat.Size(), stat.ModTime().UnixNano()), true
}
