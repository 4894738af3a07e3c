// Package sealing has the records that this program writes sealed: with the key of the
// machine, which is made when the first of them is written, and with those of people.
//
// No record waits for a key: where none can be made or read, records are written
// without seals, and verify says so.
package sealing

import (
	"errors"
	"io/fs"
	"sync"

	"arctally/acquire/record"
	"arctally/acquire/seal"
)

var house struct {
	sync.Mutex
	folder seal.Folder
	asked  bool
	key    *seal.Key
	err    error
}

// ErrNoFolder is said where the program was told of no folder of keys.
var ErrNoFolder = errors.New("there is no folder for keys")

// Use says in which folder the keys are. Before it nothing is sealed.
func Use(f seal.Folder) {
	house.Lock()
	defer house.Unlock()
	house.folder, house.asked, house.key, house.err = f, false, nil, nil
}

// Folder is where the keys are; empty where the program was told of none.
func Folder() string {
	house.Lock()
	defer house.Unlock()
	return string(house.folder)
}

// Without says why there is no folder of keys: nothing is sealed, and Trouble says so.
func Without(why error) {
	house.Lock()
	defer house.Unlock()
	house.folder, house.asked, house.key, house.err = "", true, nil, why
}

// Trouble says in plain words why records are written without seals, and what to do; empty
// where they are sealed, or nobody asked for seals.
func Trouble() string {
	_, err := Machine()
	if err == nil || errors.Is(err, ErrNoFolder) {
		return ""
	}
	return "what is recorded is kept, but not sealed: nobody can show later that it was not changed: " + err.Error() +
		"\nhint: end the recording, see that arctally key shows a key, and record again; or record on without seals"
}

// Machine returns the key of this machine, which is made when it is first asked for.
func Machine() (*seal.Key, error) {
	house.Lock()
	defer house.Unlock()
	if house.folder == "" && !house.asked {
		return nil, ErrNoFolder
	}
	if !house.asked {
		house.asked = true
		house.key, house.err = house.folder.Machine()
	}
	return house.key, house.err
}

// Seal has a record sealed by this machine from here on.
func Seal(w *record.Writer) {
	if k, err := Machine(); err == nil {
		w.SealWith(k)
	}
}

// Person returns the key of a person; nil where he has none here.
func Person(name string) (*seal.Key, error) {
	k, err := person(name, false)
	if errors.Is(err, fs.ErrNotExist) || errors.Is(err, ErrNoFolder) || seal.CheckName(name) != nil {
		return nil, nil
	}
	return k, err
}

// MakePerson is Person, and makes the key where there is none.
func MakePerson(name string) (*seal.Key, error) { return person(name, true) }

func person(name string, wanted bool) (*seal.Key, error) {
	house.Lock()
	defer house.Unlock()
	if house.folder == "" {
		return nil, ErrNoFolder
	}
	return house.folder.Person(name, wanted)
}
