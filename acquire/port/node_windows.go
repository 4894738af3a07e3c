package port

import (
	"io/fs"
	"strings"

	"golang.org/x/sys/windows"
)

// devices is what the path of a device begins with.
const devices = `\\.\`

// devicePath is the path of a port, which may be named without what it begins with.
func devicePath(name string) string { return devices + strings.TrimPrefix(name, devices) }

// longestTarget is how long the name of a device may be, in letters.
const longestTarget = 1024

// nodeOf returns which device a name such as COM3 means. It opens nothing: the system keeps
// a list of such names.
func nodeOf(name string) (nodeID, error) {
	word, err := windows.UTF16PtrFromString(strings.TrimPrefix(name, devices))
	if err != nil {
		return nodeID{}, &fs.PathError{Op: "find", Path: name, Err: err}
	}
	var target [longestTarget]uint16
	if _, err := windows.QueryDosDevice(word, &target[0], longestTarget); err != nil {
		return nodeID{}, &fs.PathError{Op: "find", Path: name, Err: err}
	}
	return nodeID{target: windows.UTF16ToString(target[:])}, nil
}

// checkDescriptors has nothing to check: the library waits without select(2) here.
func (*lock) checkDescriptors() error { return nil }
