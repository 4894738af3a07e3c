//go:build unix

package fleet

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"strconv"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/require"
)

// server is a PostgreSQL of these tests alone, in a folder of its own, spoken to by a socket
// in that folder; nil where there is none on this machine.
var server *cluster

var databases atomic.Int64

func TestMain(m *testing.M) {
	status := m.Run()
	if server != nil {
		server.stop()
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
		server = startCluster(t)
	}
	return server.database(t)
}

// cluster is a running PostgreSQL.
type cluster struct {
	folder, bin string
	as          *syscall.Credential // nil is as this program
	process     *exec.Cmd
}

const postgresPort = 54321 // of the name of its socket: nothing listens on the network

func startCluster(t *testing.T) *cluster {
	t.Helper()
	c := newCluster(t)
	c.run(t, "initdb", "-D", c.data(), "-U", "made", "-A", "trust", "-E", "UTF8", "--locale=C.UTF-8", "--no-sync")
	c.start(t)
	return c
}

// newCluster is a folder for one; nothing runs yet.
func newCluster(t *testing.T) *cluster {
	t.Helper()
	bins, err := filepath.Glob("/usr/lib/postgresql/*/bin")
	require.NoError(t, err)
	if len(bins) == 0 {
		if os.Getenv("ARCTALLY_NEED_POSTGRES") != "" {
			t.Fatal("there is no PostgreSQL here: apt-get install postgresql")
		}
		t.Skip("there is no PostgreSQL here: nothing is tried with one")
	}
	folder, err := os.MkdirTemp("", "arctally-pg-")
	require.NoError(t, err)
	return &cluster{folder: folder, bin: bins[len(bins)-1], as: notRoot(t, folder)}
}

// notRoot is whom a PostgreSQL runs as, for it refuses root; the folder becomes his.
func notRoot(t *testing.T, folder string) *syscall.Credential {
	if os.Geteuid() != 0 {
		return nil
	}
	who, err := user.Lookup("postgres")
	if err != nil {
		t.Skip("PostgreSQL does not run as root, and there is no user postgres: nothing is tried with one")
	}
	uid, err := strconv.Atoi(who.Uid)
	require.NoError(t, err)
	gid, err := strconv.Atoi(who.Gid)
	require.NoError(t, err)
	require.NoError(t, os.Chown(folder, uid, gid))
	return &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}
}

func (c *cluster) data() string { return filepath.Join(c.folder, "data") }

func (c *cluster) command(name string, args ...string) *exec.Cmd {
	command := exec.Command(filepath.Join(c.bin, name), args...)
	command.Dir = c.folder
	command.SysProcAttr = &syscall.SysProcAttr{Credential: c.as}
	return command
}

func (c *cluster) run(t *testing.T, name string, args ...string) {
	t.Helper()
	out, err := c.command(name, args...).CombinedOutput()
	require.NoError(t, err, string(out))
}

// start starts the server, and waits until it answers.
func (c *cluster) start(t *testing.T) {
	t.Helper()
	c.process = c.command("postgres", "-D", c.data(), "-k", c.folder, "-p", strconv.Itoa(postgresPort), "-c", "listen_addresses=")
	require.NoError(t, c.process.Start())
	require.Eventually(t, func() bool {
		connection, err := pgx.Connect(context.Background(), c.address("postgres"))
		return err == nil && connection.Close(context.Background()) == nil
	}, 2*time.Minute, 20*time.Millisecond)
}

func (c *cluster) address(database string) string {
	u := url.URL{Scheme: "postgres", User: url.User("made"), Path: "/" + database, RawQuery: url.Values{"host": {c.folder}, "port": {strconv.Itoa(postgresPort)}}.Encode()}
	return u.String()
}

func (c *cluster) database(t *testing.T) string {
	t.Helper()
	connection, err := pgx.Connect(t.Context(), c.address("postgres"))
	require.NoError(t, err)
	name := fmt.Sprintf("made_%d", databases.Add(1))
	_, err = connection.Exec(t.Context(), "CREATE DATABASE "+name)
	require.NoError(t, err)
	require.NoError(t, connection.Close(t.Context()))
	return c.address(name)
}

func (c *cluster) stop() {
	_ = c.process.Process.Signal(syscall.SIGQUIT) // it is thrown away
	_ = c.process.Wait()
	if err := os.RemoveAll(c.folder); err != nil && !errors.Is(err, fs.ErrNotExist) {
		fmt.Fprintln(os.Stderr, err)
	}
}
