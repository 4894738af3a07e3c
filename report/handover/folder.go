package handover

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"slices"
	"strings"
	"syscall"
	"time"
)

// folder is a store in a folder. Names lead neither out of it nor over a link that lies in it.
type folder string

// String implements Store.
func (f folder) String() string { return string(f) }

// in is what goes wrong with a bundle or a file of one.
func (f folder) in(bundle, name string, err error) error {
	if err == nil || ended(err) {
		return err
	}
	if own, ok := errors.AsType[*Error](err); ok {
		return own
	}
	kind := Failed
	switch {
	case errors.Is(err, fs.ErrNotExist):
		kind = Missing
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		kind = Forbidden
	case errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EDQUOT):
		kind = Full
	}
	if wrong, ok := errors.AsType[*fs.PathError](err); ok {
		err = wrong.Err // its name stands before it
	}
	return &Error{Kind: kind, Where: place(f, bundle, name), Err: err}
}

// Names implements Store.
func (f folder) Names(context.Context) ([]string, error) {
	entries, err := os.ReadDir(string(f))
	var names []string
	for _, e := range entries {
		if e.IsDir() {
			names = append(names, e.Name())
		}
	}
	return names, f.in("", "", err)
}

// Sizes implements Store.
func (f folder) Sizes(_ context.Context, bundle string) (map[string]int64, error) {
	sizes := map[string]int64{}
	root, err := f.open(bundle)
	if errors.Is(err, fs.ErrNotExist) {
		return sizes, nil
	}
	if err != nil {
		return nil, f.in(bundle, "", err)
	}
	err = fs.WalkDir(root.FS(), ".", func(name string, e fs.DirEntry, err error) error {
		if err != nil || !e.Type().IsRegular() || isDraft(name) {
			return err
		}
		info, err := e.Info()
		if err == nil {
			sizes[name] = info.Size()
		}
		return err
	})
	return sizes, f.in(bundle, "", errors.Join(err, root.Close()))
}

// open opens the folder of a bundle, which must be one itself.
func (f folder) open(bundle string) (*os.Root, error) {
	store, err := os.OpenRoot(string(f))
	if err != nil {
		return nil, err
	}
	info, err := store.Lstat(bundle)
	if err == nil && !info.IsDir() {
		err = &Error{Kind: Unfit, Where: place(f, bundle, ""), Text: "no folder, but a link or a file"}
	}
	var root *os.Root
	if err == nil {
		root, err = store.OpenRoot(bundle)
	}
	return root, errors.Join(err, store.Close())
}

// Get implements Store.
func (f folder) Get(_ context.Context, bundle, name string) (io.ReadCloser, error) {
	root, err := f.open(bundle)
	if err != nil {
		return nil, f.in(bundle, name, err)
	}
	err = f.plain(root, bundle, name)
	var file *os.File
	if err == nil {
		file, err = root.Open(name)
	}
	if err = errors.Join(err, root.Close()); err != nil {
		return nil, f.in(bundle, name, err)
	}
	return file, nil
}

// plain refuses a file that is none, or that lies behind a link.
func (f folder) plain(root *os.Root, bundle, name string) error {
	for k, r := range name + "/" {
		if r != '/' {
			continue
		}
		info, err := root.Lstat(name[:k])
		if err != nil {
			return err
		}
		if last := k == len(name); !info.IsDir() && !last || !info.Mode().IsRegular() && last {
			return &Error{Kind: Unfit, Where: place(f, bundle, name[:k]), Text: "a link, or something else that no bundle has"}
		}
	}
	return nil
}

// Put implements Store: the file is written beside its place, and gets its name once the disk has it.
func (f folder) Put(ctx context.Context, bundle string, e Entry, content Content) error {
	return f.in(bundle, e.Name, f.put(ctx, bundle, e, content))
}

func (f folder) put(ctx context.Context, bundle string, e Entry, content Content) (err error) {
	within := path.Join(bundle, path.Dir(e.Name))
	if err := os.MkdirAll(string(f), 0o755); err != nil {
		return err
	}
	root, err := os.OpenRoot(string(f))
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, root.Close()) }()
	if err := root.MkdirAll(within, 0o755); err != nil {
		return err
	}
	draft, made := path.Join(within, draftName()), path.Join(bundle, e.Name)
	sum, err := write(ctx, root, draft, content)
	if err == nil && sum != e.Sum {
		err = &Error{Kind: Failed, Where: place(f, bundle, e.Name), Text: "what was written there is not what was to be"}
	}
	if err != nil {
		return errors.Join(err, gone(root.Remove(draft)))
	}
	if err := errors.Join(settle(root, draft, made), gone(root.Remove(draft))); err != nil {
		if errors.Is(err, fs.ErrExist) {
			return &Error{Kind: There, Where: place(f, bundle, e.Name), Text: "there already"}
		}
		return err
	}
	return syncUp(root, within)
}

// write writes a file that was not there, has the disk keep it, and sums what it wrote.
func write(ctx context.Context, root *os.Root, name string, content io.Reader) (Sum, error) {
	file, err := root.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return Sum{}, err
	}
	sum, err := SumOf(io.TeeReader(asking{ctx, content}, file))
	return sum, errors.Join(err, file.Sync(), file.Close())
}

// settle gives a draft its name, where nothing has it. Where there are no links, as on a stick, whoever
// gives the same file at the same moment may come between the look and the naming: what he gives has
// the same bytes, for the bundle is named by them.
func settle(root *os.Root, draft, made string) error {
	err := root.Link(draft, made)
	if err == nil || errors.Is(err, fs.ErrExist) {
		return err
	}
	if _, err := root.Lstat(made); !errors.Is(err, fs.ErrNotExist) {
		return errors.Join(err, fs.ErrExist)
	}
	return root.Rename(draft, made)
}

// gone is an error of removing what need not be there any more.
func gone(err error) error {
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	return err
}

// syncUp makes the names in a folder, and those of the folders above it, outlast a power cut.
func syncUp(root *os.Root, name string) error {
	for {
		d, err := root.Open(name)
		if err != nil {
			return err
		}
		if err := errors.Join(syncNames(d), d.Close()); err != nil || name == "." {
			return err
		}
		name = path.Dir(name)
	}
}

// A draft is a file that has no name yet; one that nobody has touched for so long was left by a crash.
const (
	draftPrefix = ".draft-"
	oldDraft    = 24 * time.Hour
)

func draftName() string {
	return fmt.Sprintf("%s%d-%d", draftPrefix, os.Getpid(), time.Now().UnixNano())
}

func isDraft(name string) bool { return strings.HasPrefix(path.Base(name), draftPrefix) }

// sweep removes what crashes have left in a bundle. That it cannot is no harm.
func (f folder) sweep(bundle string, now time.Time) {
	root, err := f.open(bundle)
	if err != nil {
		return
	}
	var old []string
	_ = fs.WalkDir(root.FS(), ".", func(name string, e fs.DirEntry, err error) error {
		if err != nil || !isDraft(name) {
			return err
		}
		if info, err := e.Info(); err == nil && now.Sub(info.ModTime()) > oldDraft {
			old = append(old, name)
		}
		return nil
	})
	for _, name := range slices.Backward(old) {
		_ = root.Remove(name)
	}
	_ = root.Close()
}

// asking is a reader that gives nothing any more once nobody waits for it.
type asking struct {
	ctx  context.Context
	from io.Reader
}

// Read implements io.Reader.
func (a asking) Read(b []byte) (int, error) {
	if err := a.ctx.Err(); err != nil {
		return 0, err
	}
	return a.from.Read(b)
}

// place is where a file of a bundle lies.
func place(s Store, bundle, name string) string {
	at := s.String()
	for _, element := range []string{bundle, name} {
		if element != "" {
			at = strings.TrimSuffix(at, "/") + "/" + element
		}
	}
	return at
}
