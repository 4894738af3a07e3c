//go:build unix

package fleettest

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
	"strings"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/require"
)

// Server is a PostgreSQL.
type Server struct {
	folder, bin string
	as          *syscall.Credential // nil is as this program
	process     *exec.Cmd           // nil is killed
	ended       chan struct{}       // closed once the process has
}

const (
	port     = "54321" // of the name of its socket: nothing listens on the network
	patience = 2 * time.Minute
	look     = 20 * time.Millisecond
)

var databases atomic.Int64

// Start starts one; who calls it ends it by Stop. The test skips where there is no PostgreSQL, and fails
// where ARCTALLY_NEED_POSTGRES says that there is one.
func Start(t testing.TB) *Server {
	t.Helper()
	s := newServer(t)
	s.run(t, "initdb", "-D", s.data(), "-U", "made", "-A", "trust", "-E", "UTF8", "--locale=C.UTF-8", "--no-sync")
	s.Again(t)
	return s
}

// newServer is a folder for one; nothing runs yet.
func newServer(t testing.TB) *Server {
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
	return &Server{folder: folder, bin: bins[len(bins)-1], as: notRoot(t, folder)}
}

// notRoot is whom a PostgreSQL runs as, for it refuses root; the folder becomes his.
func notRoot(t testing.TB, folder string) *syscall.Credential {
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

func (s *Server) data() string { return filepath.Join(s.folder, "data") }

func (s *Server) command(name string, args ...string) *exec.Cmd {
	command := exec.Command(filepath.Join(s.bin, name), args...)
	command.Dir = s.folder
	command.SysProcAttr = &syscall.SysProcAttr{Credential: s.as}
	return command
}

func (s *Server) run(t testing.TB, name string, args ...string) {
	t.Helper()
	out, err := s.command(name, args...).CombinedOutput()
	require.NoError(t, err, string(out))
}

// Again starts the server, and waits until it answers. One that was killed does not start while what it
// began is still ending: then it is started once more.
func (s *Server) Again(t testing.TB) {
	t.Helper()
	until := time.Now().Add(patience)
	for s.process = nil; !s.answers(); time.Sleep(look) {
		require.True(t, time.Now().Before(until), "PostgreSQL does not start")
		if s.process == nil || s.hasEnded() {
			s.launch(t)
		}
	}
}

func (s *Server) launch(t testing.TB) {
	t.Helper()
	process := s.command("postgres", "-D", s.data(), "-k", s.folder, "-p", port, "-c", "listen_addresses=")
	require.NoError(t, process.Start())
	ended := make(chan struct{})
	go func() {
		_ = process.Wait() // it is killed sooner or later
		close(ended)
	}()
	s.process, s.ended = process, ended
}

func (s *Server) hasEnded() bool {
	select {
	case <-s.ended:
		return true
	default:
		return false
	}
}

func (s *Server) answers() bool {
	if s.process == nil {
		return false // what a killed one left behind may still answer
	}
	connection, err := pgx.Connect(context.Background(), s.Address("postgres"))
	return err == nil && connection.Close(context.Background()) == nil
}

// Kill kills the server, as a power cut would.
func (s *Server) Kill() { s.end(syscall.SIGKILL) }

// Stop ends the server, and throws away what it has.
func (s *Server) Stop() {
	s.end(syscall.SIGQUIT)
	if err := os.RemoveAll(s.folder); err != nil && !errors.Is(err, fs.ErrNotExist) {
		fmt.Fprintln(os.Stderr, err)
	}
}

func (s *Server) end(by syscall.Signal) {
	if s.process == nil {
		return
	}
	_ = s.process.Process.Signal(by) // it may have ended
	<-s.ended
	s.process = nil
}

// Address is where a database of the server is; of several servers, where that one of them is that takes
// writing.
func (s *Server) Address(database string, others ...*Server) string {
	folders, ports := []string{s.folder}, []string{port}
	for _, other := range others {
		folders, ports = append(folders, other.folder), append(ports, port)
	}
	query := url.Values{"host": {strings.Join(folders, ",")}, "port": {strings.Join(ports, ",")}}
	if len(others) > 0 {
		query.Set("target_session_attrs", "read-write")
	}
	u := url.URL{Scheme: "postgres", User: url.User("made"), Path: "/" + database, RawQuery: query.Encode()}
	return u.String()
}

// Database makes a database, and returns its name.
func (s *Server) Database(t testing.TB) string {
	t.Helper()
	name := fmt.Sprintf("made_%d", databases.Add(1))
	s.execute(t, "CREATE DATABASE "+name)
	return name
}

func (s *Server) execute(t testing.TB, statements ...string) {
	t.Helper()
	connection, err := pgx.Connect(t.Context(), s.Address("postgres"))
	require.NoError(t, err)
	for _, one := range statements {
		_, err = connection.Exec(t.Context(), one)
		require.NoError(t, err)
	}
	require.NoError(t, connection.Close(t.Context()))
}

// Standby starts a second server that has all that the first one has, and without whose word the first one
// commits nothing from then on; who calls it ends it by Stop.
func (s *Server) Standby(t testing.TB) *Server {
	t.Helper()
	standby := newServer(t)
	standby.run(t, "pg_basebackup", "-h", s.folder, "-p", port, "-U", "made", "-D", standby.data(), "-R", "-X", "stream", "--no-sync", "-c", "fast")
	standby.Again(t)
	s.execute(t, "ALTER SYSTEM SET synchronous_standby_names = '*'", "SELECT pg_reload_conf()")
	require.Eventually(t, func() bool {
		connection, err := pgx.Connect(context.Background(), s.Address("postgres"))
		if err != nil {
			return false
		}
		n := 0
		err = connection.QueryRow(context.Background(), "SELECT count(*) FROM pg_stat_replication WHERE sync_state = 'sync'").Scan(&n)
		return errors.Join(err, connection.Close(context.Background())) == nil && n == 1
	}, patience, look)
	return standby
}

// Promote makes a standby take the place of its first one, which must be dead and stay so.
func (s *Server) Promote(t testing.TB) {
	t.Helper()
	s.run(t, "pg_ctl", "promote", "-w", "-D", s.data())
}
