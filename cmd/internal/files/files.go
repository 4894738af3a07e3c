// Package files writes what a command or a page puts on the disk: whole, or not at
// all.
package files

import (
	"bufio"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"

	"arctally/acquire/system"
)

// Write writes a file beside its place and then puts it there: whoever
// looks meanwhile, or after a failure, finds the former file whole.
func Write(file string, write func(io.Writer) error) (err error) {
	draft, err := os.CreateTemp(filepath.Dir(file), "."+filepath.Base(file)+"-*")
	if err != nil {
		return err
	}
	err = Buffered(draft, write)
	err = errors.Join(err, draft.Chmod(0o644), draft.Sync(), draft.Close())
	if err == nil {
		err = system.Rename(draft.Name(), file)
	}
	if err != nil {
		return errors.Join(err, os.Remove(draft.Name()))
	}
	return system.SyncFolder(filepath.Dir(file))
}

// Stem is the name of a file, in the current folder and without its ending.
func Stem(file string) string {
	base := filepath.Base(file)
	return strings.TrimSuffix(base, filepath.Ext(base))
}

// Buffered writes to w in large pieces.
func Buffered(w io.Writer, write func(io.Writer) error) error {
	b := bufio.NewWriter(w)
	return errors.Join(write(b), b.Flush())
}
