package workshop

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"arctally/acquire/system"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/files"
	"arctally/cmd/internal/jobfile"
	"arctally/report/page"
)

// folder is the folder that is served. Names come from the network: none of them
// leads out of it, neither by itself nor by a link that lies in it.
type folder struct {
	path   string // absolute
	root   *os.Root
	held   *system.Lock // while the folder is served
	writes sync.Mutex
	seen   rowCache
}

const procedureFolder = "procedures"

// openFolder opens a folder and keeps others from serving it too.
func openFolder(name string) (*folder, error) {
	full, err := filepath.Abs(name)
	if err != nil {
		return nil, err
	}
	root, err := os.OpenRoot(full)
	if err != nil {
		return nil, err
	}
	held, err := system.TryLockFolder(full)
	if err != nil {
		if errors.Is(err, system.ErrHeld) {
			err = served(full)
		}
		return nil, errors.Join(err, root.Close())
	}
	return &folder{path: full, root: root, held: held, seen: newRowCache()}, nil
}

// outward is a text as it goes out to the pages: what lies in the folder is named from
// there, and of the disk around it nothing is said.
func (f *folder) outward(text string) string {
	text = strings.ReplaceAll(text, f.path+string(filepath.Separator), "")
	return page.Outward(strings.ReplaceAll(text, f.path, filepath.Base(f.path)))
}

// outwards is outward for texts that may be missing.
func (f *folder) outwards(texts ...*string) {
	for _, text := range texts {
		if text != nil {
			*text = f.outward(*text)
		}
	}
}

func (f *folder) close() error { return errors.Join(f.held.Release(), f.root.Close()) }

// served is a folder that is served already.
func served(folder string) error {
	return &explain.Error{
		Kind: explain.InTheWay, Text: folder + ": another arctally serves this folder already",
		Next: "open the pages of that one, or end it first",
	}
}

// badName is a name that the pages do not use; the rule says which they do.
func badName(name, rule string) error {
	return &explain.Error{Kind: explain.NotThere, Text: fmt.Sprintf("%q cannot be the name of a file here", name), Next: "rename it: " + rule}
}

const (
	fileRule   = "small letters, digits, dot, dash and underscore, the first a letter or digit, at most 80"
	recordRule = "letters, digits, dot, dash, underscore and space, the first a letter or digit, at most 100"
)

// jobName is where a job file of that name lies in the folder.
func jobName(name string) (string, error) {
	if !page.FileName(name) {
		return "", badName(name, fileRule)
	}
	return name + ".yaml", nil
}

// procedureName is where a procedure of that name lies: among the procedures, or
// where a job refers to it.
func (f *folder) procedureName(name string) (string, error) {
	if !page.FileName(name) {
		return "", badName(name, fileRule)
	}
	usual := path.Join(procedureFolder, name+".yaml")
	if _, err := f.root.Stat(usual); err == nil {
		return usual, nil
	}
	for _, row := range f.jobRows() {
		if files.Stem(row.procedure) == name && fs.ValidPath(path.Clean(row.procedure)) {
			return path.Clean(row.procedure), nil
		}
	}
	return usual, nil
}

// recordPath is the path of a record. The file, if there is one, lies in the
// folder itself and is no link.
func (f *folder) recordPath(name string) (string, error) {
	if !page.RecordName(name) {
		return "", badName(name, recordRule)
	}
	file := name + jobfile.RecordExtension
	info, err := f.root.Lstat(file)
	if err == nil && !info.Mode().IsRegular() {
		return "", badName(file, "it is a link or a folder; put the record itself here")
	}
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return "", err
	}
	return filepath.Join(f.path, file), nil
}

// readJob reads a job and its procedure, both of them in the folder.
func (f *folder) readJob(job string) (*jobfile.File, error) {
	name, err := jobName(job)
	if err != nil {
		return nil, err
	}
	return jobfile.ReadIn(f.root.FS(), name)
}

// names returns the files with an ending in a part of the folder, in order.
func (f *folder) names(part, ending string) []string {
	entries, err := fs.ReadDir(f.root.FS(), part)
	if err != nil {
		return nil // no procedures yet; that the folder itself is gone shows when a file is asked for
	}
	var names []string
	for _, entry := range entries {
		if !entry.IsDir() && path.Ext(entry.Name()) == ending && !strings.HasPrefix(entry.Name(), ".") {
			names = append(names, path.Join(part, entry.Name()))
		}
	}
	slices.Sort(names)
	return names
}

// replace puts a text in place of the one that the writer has read.
func (f *folder) replace(name string, text []byte, was page.Version) error {
	f.writes.Lock()
	defer f.writes.Unlock()
	present, err := f.root.ReadFile(name)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if !was.Holds(present) {
		return page.ErrChanged
	}
	if err := f.root.MkdirAll(path.Dir(name), 0o755); err != nil {
		return err
	}
	return files.Write(filepath.Join(f.path, filepath.FromSlash(name)), func(w io.Writer) error {
		_, err := w.Write(text)
		return err
	})
}
