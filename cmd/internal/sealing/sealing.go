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

// Machine returns the key of this machine, which is made when it is first asked for.
func Machine() (*seal.Key, error) {
	house.Lock()
	defer house.Unlock()
	if house.folder == "" {
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
