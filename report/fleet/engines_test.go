//go:build unix

package fleet

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/report/fleet/fleettest"
)

// server is a PostgreSQL of these tests alone; nil until one of them wants it.
var server *fleettest.Server

func TestMain(m *testing.M) {
	status := m.Run()
	if server != nil {
		server.Stop()
	}
	os.Exit(status)
}

// engines has a test run over both engines, each time over a database of its own.
func engines(t *testing.T, test func(t *testing.T, address string)) {
	t.Run("sqlite", func(t *testing.T) { test(t, filepath.Join(t.TempDir(), "made.sqlite")) })
	t.Run("postgres", func(t *testing.T) { test(t, postgresDatabase(t)) })
}

func open(t *testing.T, address string) *Fleet {
	t.Helper()
	f, err := Open(t.Context(), address)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, f.Close()) })
	return f
}

// postgresDatabase makes a database; the test skips where there is no PostgreSQL, and fails
// where ARCTALLY_NEED_POSTGRES says that there is one.
func postgresDatabase(t *testing.T) (address string) {
	t.Helper()
	if testing.Short() {
		t.Skip("it starts a PostgreSQL")
	}
	if server == nil {
		server = fleettest.Start(t)
	}
	return server.Address(server.Database(t))
}
