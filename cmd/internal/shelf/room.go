package shelf

import (
	"cmp"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// draftName begins the name of a file that is being written.
const draftName = "draft-"

// draftsLast is how long a draft may be there: one that is older was left behind by a
// program that ended in the middle. Ours, no source.
const draftsLast = time.Hour

// lying is a file on the shelf.
type lying struct {
	name string
	size int64
	used time.Time
}

// newFile makes a file that nobody finds before it is settled.
func (s *Shelf) newFile() (*os.File, error) {
	if err := os.MkdirAll(s.folder, 0o700); err != nil {
		return nil, err
	}
	return os.CreateTemp(s.folder, draftName+"*")
}

// settle puts a file of so many bytes on the shelf, whole or not at all, and makes room for it.
func (s *Shelf) settle(file *os.File, size int64, key Key) (kept bool) {
	s.makeRoomBeside(size, file.Name())
	if file.Close() == nil && os.Rename(file.Name(), s.file(key)) == nil {
		return true
	}
	_ = os.Remove(file.Name()) // else it goes as soon as it is old
	return false
}

// giveUp takes away a file that is not to be settled.
func giveUp(file *os.File) {
	_ = file.Close()
	_ = os.Remove(file.Name()) // else it goes as soon as it is old
}

// makeRoomBeside takes away what was used longest ago until the bytes of a draft are within the
// limit, and leaves the draft alone. Another program may do the same: what is gone already is gone.
func (s *Shelf) makeRoomBeside(more int64, beside string) {
	all := slices.DeleteFunc(s.lying(), func(l lying) bool { return filepath.Join(s.folder, l.name) == beside })
	total := more
	for _, l := range all {
		total += l.size
	}
	for _, l := range all {
		left := strings.HasPrefix(l.name, draftName) && time.Since(l.used) > draftsLast
		if (total > s.limit || left) && os.Remove(filepath.Join(s.folder, l.name)) == nil {
			total -= l.size
		}
	}
}

// lying lists the files, the one that was used longest ago first.
func (s *Shelf) lying() (all []lying) {
	entries, err := os.ReadDir(s.folder)
	if err != nil {
		return nil
	}
	for _, e := range entries {
		if info, err := e.Info(); err == nil && info.Mode().IsRegular() {
			all = append(all, lying{info.Name(), info.Size(), info.ModTime()})
		}
	}
	slices.SortStableFunc(all, func(a, b lying) int { return cmp.Or(a.used.Compare(b.used), strings.Compare(a.name, b.name)) })
	return all
}
