//go:build unix

package system

import (
	"io/fs"

	"golang.org/x/sys/unix"
)

// TouchOf is that of the file of a name, or of what a link of that name leads to.
func TouchOf(path string) (Touch, error) {
	var is unix.Stat_t
	if err := unix.Stat(path, &is); err != nil {
		return Touch{}, &fs.PathError{Op: "stat", Path: path, Err: err}
	}
	return Touch{uint64(is.Dev), is.Ino, is.Size, is.Mtim.Nano(), is.Ctim.Nano()}, nil
}
