package port

import (
	"errors"
	"fmt"
	"os"
	"os/user"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
)

// linkDirs holds names that survive another enumeration, best first: by-path
// is for adapters without a serial number, which share one name below by-id.
var linkDirs = []string{"/dev/serial/by-id", "/dev/serial/by-path"}

// Candidates returns the names of the serial adapters that are plugged in. It
// reads link names only: opening a port resets some boxes.
func Candidates() []string { return candidates(linkDirs) }

func candidates(dirs []string) []string {
	for _, dir := range dirs {
		// The folder is missing where no adapter is plugged in: no names, no error.
		names, err := filepath.Glob(filepath.Join(dir, "*"))
		if err == nil && len(names) > 0 {
			return names
		}
	}
	return nil
}

// Hint returns what the operator can do next; "" where nothing is known.
func (e *Error) Hint() string {
	switch e.Kind {
	case Missing, NotAPort, Unplugged:
		return plugHint(Candidates())
	case Busy:
		return busyHint(e.Port, e.Holder)
	case Permission:
		return permissionHint(e.Port, e.Err)
	default:
		return ""
	}
}

func plugHint(found []string) string {
	if len(found) == 0 {
		return "no serial adapter is plugged in: check the cable and the supply of the sensor box"
	}
	return "name one of the ports that are plugged in: " + strings.Join(found, ", ")
}

func busyHint(port string, holder int) string {
	if holder == 0 {
		return "see what holds it with: fuser -v " + port
	}
	if holder == os.Getpid() {
		return "two sensors of the job name the same port: give each its own"
	}
	return fmt.Sprintf("end process %d, or name another port", holder)
}

// permissionHint tells the group that owns the file which was refused: the
// node's, or that of a lock file another user left.
func permissionHint(port string, cause error) string {
	path := port
	var refused *os.PathError
	if errors.As(cause, &refused) {
		path = refused.Path
	}
	group := owningGroup(path)
	if group == "" || group == "root" {
		return "see who may use it with: ls -lL " + path
	}
	return "add yourself to group " + group + ": sudo usermod -a -G " + group + " $USER, then log in again"
}

// owningGroup returns the name of the group of a file, "" where it is not known.
func owningGroup(path string) string {
	info, err := os.Stat(path)
	if err != nil {
		return ""
	}
	stat, ok := info.Sys().(*syscall.Stat_t)
	if !ok {
		return ""
	}
	group, err := user.LookupGroupId(strconv.FormatUint(uint64(stat.Gid), 10))
	if err != nil {
		return ""
	}
	return group.Name
}
