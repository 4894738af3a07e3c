package seal

import (
	"crypto/ed25519"
	"crypto/rand"
	"crypto/x509"
	"encoding/hex"
	"encoding/pem"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"arctally/acquire/system"
)

// Folder keeps keys. The key of the machine is made when it is first asked for, that of
// a person when somebody wants one.
type Folder string

// UserFolder is the one of whoever runs the program.
func UserFolder() (Folder, error) {
	dir, err := os.UserConfigDir()
	if err != nil {
		return "", fmt.Errorf("find the folder of keys: %w", err)
	}
	return Folder(filepath.Join(dir, "arctally")), nil
}

// Machine returns the key of this machine, and makes it where there is none.
func (f Folder) Machine() (*Key, error) {
	name, err := os.Hostname()
	if err != nil || CheckName(name) != nil {
		name = "machine"
	}
	return f.key("machine.key", &Key{Name: name}, true)
}

// Person returns the key of a person; it is made where there is none and one is wanted.
// The error of one that is not there is fs.ErrNotExist.
func (f Folder) Person(name string, wanted bool) (*Key, error) {
	if err := CheckName(name); err != nil {
		return nil, err
	}
	return f.key("person-"+hex.EncodeToString([]byte(name))+".key", &Key{Name: name, Person: true}, wanted)
}

func (f Folder) key(file string, k *Key, wanted bool) (*Key, error) {
	path := filepath.Join(string(f), file)
	err := k.read(path)
	if wanted && errors.Is(err, fs.ErrNotExist) {
		if err := k.makeAt(path); err != nil && !errors.Is(err, fs.ErrExist) {
			return nil, fmt.Errorf("make a key: %w", err)
		}
		err = k.read(path) // that of who was first, where two made one
	}
	if err != nil {
		return nil, err
	}
	return k, nil
}

// keyRights are those of a file that its owner alone may read.
const keyRights = 0o600

// makeAt makes a key and puts it into a file that was not there.
func (k *Key) makeAt(path string) (err error) {
	_, private, err := ed25519.GenerateKey(rand.Reader)
	if err != nil {
		return err
	}
	der, err := x509.MarshalPKCS8PrivateKey(private)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return err
	}
	made, err := os.CreateTemp(filepath.Dir(path), "new-*") // with rights 0600
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, os.Remove(made.Name())) }()
	_, err = made.Write(pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: der}))
	if err = errors.Join(err, made.Sync(), made.Close()); err != nil {
		return err
	}
	if err := os.Link(made.Name(), path); err != nil { // whole or not at all, and never over another one
		return err
	}
	return system.SyncFolder(filepath.Dir(path)) // before the first seal: a key that a power cut takes away can vouch for nothing
}

func (k *Key) read(path string) error {
	info, err := os.Stat(path)
	if err != nil {
		return fmt.Errorf("read a key: %w", err)
	}
	if system.Rights(info)&^keyRights != 0 {
		return fmt.Errorf("the key %s may be read by others: set its rights to 0600, and make another one where somebody may have read it", path)
	}
	file, err := os.ReadFile(path)
	if err != nil {
		return fmt.Errorf("read a key: %w", err)
	}
	if k.private, err = privateIn(file); err != nil {
		return fmt.Errorf("the file %s %w: put it back from a copy, or move it away and another key is made", path, err)
	}
	return nil
}

// privateIn reads the content of a file with a key; an error says what it holds.
func privateIn(file []byte) (ed25519.PrivateKey, error) {
	block, rest := pem.Decode(file)
	if block == nil || strings.TrimSpace(string(rest)) != "" {
		return nil, errors.New("holds no key")
	}
	private, err := x509.ParsePKCS8PrivateKey(block.Bytes)
	if err != nil {
		return nil, fmt.Errorf("holds no key: %w", err)
	}
	own, ok := private.(ed25519.PrivateKey)
	if !ok {
		return nil, errors.New("holds a key of another kind")
	}
	return own, nil
}
