package seal

import (
	"crypto/ed25519"
	"crypto/rand"
	"crypto/x509"
	"encoding/pem"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// keyFile is a file with a key.
func keyFile(t *testing.T) []byte {
	t.Helper()
	_, private, err := ed25519.GenerateKey(rand.Reader)
	require.NoError(t, err)
	der, err := x509.MarshalPKCS8PrivateKey(private)
	require.NoError(t, err)
	return pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: der})
}

// Wherever a crash ends the making of the first key, the next start has a key: another one,
// unless the first had its place already, from where on something may have been sealed with it.
func TestKey_ACrashWhileItIsMade(t *testing.T) {
	file := keyFile(t)
	for name, left := range map[string]func(folder string) error{
		"before the folder":       func(string) error { return nil },
		"behind the folder":       func(f string) error { return os.MkdirAll(f, 0o700) },
		"before the first byte":   func(f string) error { return write(f, nil, "new-1") },
		"half written":            func(f string) error { return write(f, file[:len(file)/2], "new-1") },
		"before it has its place": func(f string) error { return write(f, file, "new-1") },
		"in its place":            func(f string) error { return write(f, file, "new-1", "machine.key") },
		"at the end":              func(f string) error { return write(f, file, "machine.key") },
	} {
		t.Run(name, func(t *testing.T) {
			folder := filepath.Join(t.TempDir(), "keys")
			require.NoError(t, left(folder))
			_, hasPlace := os.Stat(filepath.Join(folder, "machine.key"))
			k, err := Folder(folder).Machine()
			require.NoError(t, err)
			again, err := Folder(folder).Machine()
			require.NoError(t, err)
			require.Equal(t, k.Public(), again.Public())
			first, err := privateIn(file)
			require.NoError(t, err)
			require.Equal(t, hasPlace == nil, first.Equal(k.private))
		})
	}
}

// write leaves files with one content.
func write(folder string, content []byte, names ...string) error {
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return err
	}
	for _, name := range names {
		if err := os.WriteFile(filepath.Join(folder, name), content, 0o600); err != nil {
			return err
		}
	}
	return nil
}

// A key that is not whole is never taken for one, and never written over: something may have
// been sealed with it. Whoever reads what is wrong knows what to do.
func TestKey_ThatIsNotWhole(t *testing.T) {
	file := keyFile(t)
	for size := range len(file) - 1 { // the last one is the end of a line
		folder := t.TempDir()
		require.NoError(t, write(folder, file[:size], "machine.key"))
		_, err := Folder(folder).Machine()
		require.ErrorContains(t, err, "machine.key holds no key", size)
		require.ErrorContains(t, err, ": put it back from a copy, or move it away and another key is made", size)
		left, err := os.ReadFile(filepath.Join(folder, "machine.key"))
		require.NoError(t, err)
		require.Equal(t, file[:size], left)
	}
}
