package door

import (
	"bytes"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"
	"unicode"
	"unicode/utf8"

	"arctally/acquire/foreign"
	"arctally/acquire/system"
	"arctally/report/page"
)

// How long a device may come in once it is paired, and how many may. Ours, no source:
// the tablet of a shop is not paired anew each day; who manages is.
const (
	deviceLife  = 30 * 24 * time.Hour
	managerLife = 12 * time.Hour
	mostDevices = 64
)

const (
	listFile = "devices.json"
	lockFile = "devices.lock"
	mostList = 1 << 20 // bytes
	mostName = 40      // letters
)

// Device is one that was paired.
type Device struct {
	ID      string    `json:"id"`
	Name    string    `json:"name"`
	Role    page.Role `json:"role"`
	Hash    string    `json:"hash"` // SHA-256 of its token
	Paired  time.Time `json:"paired"`
	Expires time.Time `json:"expires"`
}

// list is the file of devices.
type list struct {
	Version int      `json:"version"`
	Devices []Device `json:"devices"`
}

const listVersion = 1

// Error is a list of devices that cannot be used.
type Error struct{ File, Reason string }

// Error implements error.
func (e *Error) Error() string { return e.File + ": " + e.Reason }

// Hint says what to do.
func (*Error) Hint() string {
	return "move that file away, and pair each device again; until then nobody comes in from the network"
}

// parseList reads a list, strictly: a device that is half understood does not come in.
func parseList(text []byte) (l list, err error) {
	if err := foreign.OneOfEach(text); err != nil {
		return l, err
	}
	decoder := json.NewDecoder(bytes.NewReader(text))
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(&l); err != nil {
		return l, err
	}
	if _, err := decoder.Token(); !errors.Is(err, io.EOF) {
		return l, errors.New("something follows the list")
	}
	if l.Version != listVersion {
		return l, fmt.Errorf("version %d of the list is not known", l.Version)
	}
	known := map[string]bool{}
	for k := range l.Devices {
		one := &l.Devices[k]
		if err := one.check(); err != nil {
			return l, fmt.Errorf("device %d: %w", k+1, err)
		}
		if known[one.ID] || known[one.Hash] || known[" "+one.Name] {
			return l, fmt.Errorf("device %d stands in the list twice", k+1)
		}
		known[one.ID], known[one.Hash], known[" "+one.Name] = true, true, true
	}
	if len(l.Devices) > mostDevices {
		return l, fmt.Errorf("%d devices, where there can be %d", len(l.Devices), mostDevices)
	}
	return l, nil
}

func (d *Device) check() error {
	hash, err := hex.DecodeString(d.Hash)
	switch {
	case err != nil || len(hash) != 32 || strings.ToLower(d.Hash) != d.Hash:
		return errors.New("its hash is none")
	case len(d.ID) < 8 || len(d.ID) > 32 || strings.Trim(d.ID, "0123456789abcdef") != "":
		return errors.New("its id is none")
	case !slices.Contains(page.Roles, d.Role):
		return fmt.Errorf("there is no role %q", d.Role)
	case !d.Expires.After(d.Paired):
		return errors.New("it ends before it begins")
	}
	return checkName(d.Name)
}

// checkName refuses a name that could be read as something else in a record or at a terminal.
func checkName(name string) error {
	if name == "" || strings.TrimSpace(name) != name || utf8.RuneCountInString(name) > mostName {
		return fmt.Errorf("the name of a device has 1 to %d letters, and no space at its ends", mostName)
	}
	for _, r := range name {
		if !unicode.IsPrint(r) || r == utf8.RuneError || strings.ContainsRune(`,()"\`, r) {
			return fmt.Errorf("the name of a device cannot have the letter %q", r)
		}
	}
	return nil
}

// devices is the list, as it stands on the disk: another program may shut a device out.
type devices struct {
	folder string
	mutex  sync.Mutex
	was    fs.FileInfo // as it was read; nil is not
	list   list
	err    error // why it cannot be read
}

// load reads the list where it has changed. It is empty where there is no file.
func (d *devices) load() error {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	return d.fresh()
}

func (d *devices) fresh() error {
	file := filepath.Join(d.folder, listFile)
	info, err := os.Stat(file)
	if errors.Is(err, fs.ErrNotExist) {
		d.was, d.list, d.err = nil, list{Version: listVersion}, nil
		return nil
	}
	if err == nil {
		if d.was != nil && os.SameFile(d.was, info) && d.was.ModTime().Equal(info.ModTime()) && d.was.Size() == info.Size() && d.was.Mode() == info.Mode() {
			return d.err
		}
		d.was = info
	}
	d.list, d.err = list{Version: listVersion}, nil
	text, err := readOwn(file)
	if err == nil {
		d.list, err = parseList(text)
	}
	if err != nil {
		d.list = list{Version: listVersion}
		d.err = &Error{file, err.Error()}
	}
	return d.err
}

// readOwn reads a file that its owner alone may change.
func readOwn(file string) ([]byte, error) {
	info, err := os.Stat(file)
	if err != nil {
		return nil, err
	}
	if system.Rights(info)&0o077 != 0 {
		return nil, errors.New("others may read or change it")
	}
	if info.Size() > mostList {
		return nil, errors.New("it is longer than any list of devices")
	}
	return os.ReadFile(file)
}

// find is the device of a hash.
func (d *devices) find(hash string, now time.Time) (Device, bool) {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	if d.fresh() != nil {
		return Device{}, false
	}
	for _, one := range d.list.Devices {
		if one.Hash == hash && now.Before(one.Expires) {
			return one, true
		}
	}
	return Device{}, false
}

// all are those that may come in.
func (d *devices) all(now time.Time) ([]Device, error) {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	if err := d.fresh(); err != nil {
		return nil, err
	}
	return holding(d.list.Devices, now), nil
}

func holding(all []Device, now time.Time) (holds []Device) {
	for _, one := range all {
		if now.Before(one.Expires) {
			holds = append(holds, one)
		}
	}
	return holds
}

// change puts another list into the place of the one on the disk, held against other programs.
func (d *devices) change(now time.Time, change func([]Device) ([]Device, error)) (err error) {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	if err := os.MkdirAll(d.folder, 0o700); err != nil {
		return err
	}
	lock, err := system.WaitLock(filepath.Join(d.folder, lockFile), 0o600)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, lock.Release()) }()
	d.was = nil // what another program wrote in the same instant looks the same
	if err := d.fresh(); err != nil {
		return err
	}
	next, err := change(holding(d.list.Devices, now))
	if err != nil {
		return err
	}
	text, err := json.MarshalIndent(list{listVersion, next}, "", "  ")
	if err != nil {
		return err
	}
	d.was = nil
	return put(filepath.Join(d.folder, listFile), append(text, '\n'))
}

// put writes a file whole or not at all, for its owner alone.
func put(path string, text []byte) (err error) {
	draft, err := os.CreateTemp(filepath.Dir(path), "new-*") // with rights 0600
	if err != nil {
		return err
	}
	_, err = draft.Write(text)
	if err = errors.Join(err, draft.Sync(), draft.Close()); err == nil {
		err = os.Rename(draft.Name(), path)
	}
	if err != nil {
		return errors.Join(err, os.Remove(draft.Name()))
	}
	return nil
}
