//go:build unix

package apart

import (
	"io/fs"
	"os"
	"syscall"
)

// owned reports whether a folder is this user's.
func owned(info fs.FileInfo) bool {
	stat, ok := info.Sys().(*syscall.Stat_t)
	return ok && int64(stat.Uid) == int64(os.Geteuid())
}
