package port

import (
	"context"
	"errors"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/creack/pty"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"go.bug.st/serial"
	"golang.org/x/sys/unix"
)

const holdVariable = "ARCTALLY_TEST_HOLD_PORT"

// TestHoldPort is the other process of TestOpen_BusyByAnotherProcess.
func TestHoldPort(t *testing.T) {
	name := os.Getenv(holdVariable)
	if name == "" {
		t.Skip("it is run by TestOpen_BusyByAnotherProcess")
	}
	_, err := Open(context.Background(), Config{Name: name, LockDir: filepath.Dir(name)})
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(name+".held", nil, 0o600))
	_, err = io.Copy(io.Discard, os.Stdin) // until the other test kills this process, or ends
	require.NoError(t, err)
}

// The lock must not outlive a process that dies without a word.
func TestOpen_BusyByAnotherProcess(t *testing.T) {
	master, slave, err := pty.Open()
	require.NoError(t, err)
	defer func() { require.NoError(t, errors.Join(master.Close(), slave.Close())) }()
	name := filepath.Join(t.TempDir(), "port")
	require.NoError(t, os.Symlink(slave.Name(), name))

	holder := exec.Command(os.Args[0], "-test.run=^TestHoldPort$")
	holder.Env = append(os.Environ(), holdVariable+"="+name)
	_, err = holder.StdinPipe() // it stays open until Wait
	require.NoError(t, err)
	require.NoError(t, holder.Start())
	eventually(t, "the port is held", func() bool {
		_, err := os.Stat(name + ".held")
		return err == nil
	})

	c := Config{Name: name, LockDir: filepath.Dir(name)}
	_, err = Open(context.Background(), c)
	var e *Error
	require.ErrorAs(t, err, &e)
	assert.Equal(t, Busy, e.Kind)
	// As root the lock alone tells, and names the holder; for others the
	// exclusive use of the line may be met first.
	assert.Equal(t, holder.Process.Pid, e.Holder)
	assert.Contains(t, e.Hint(), "end process")

	require.NoError(t, holder.Process.Kill())
	assert.Error(t, holder.Wait(), "it was killed")
	p, err := Open(context.Background(), c)
	require.NoError(t, err)
	require.NoError(t, p.Close())
}

func TestLockDir_OfItsOwn(t *testing.T) {
	t.Setenv("TMPDIR", t.TempDir())
	dir, err := lockDir()
	require.NoError(t, err)
	info, err := os.Stat(dir)
	require.NoError(t, err)
	assert.True(t, info.IsDir())
}

func TestTakeLock_DirMissing(t *testing.T) {
	_, err := takeLock(filepath.Join(t.TempDir(), "none"), unix.Mkdev(188, 0))
	assert.ErrorIs(t, err, fs.ErrNotExist)
}

// A lock file that is a link could have another file truncated.
func TestTakeLock_RefusesALink(t *testing.T) {
	dir := t.TempDir()
	victim := filepath.Join(dir, "victim")
	require.NoError(t, os.WriteFile(victim, []byte("keep"), 0o600))
	require.NoError(t, os.Symlink(victim, filepath.Join(dir, "arctally-tty-188-0")))
	_, err := takeLock(dir, unix.Mkdev(188, 0))
	require.Error(t, err)
	text, err := os.ReadFile(victim)
	require.NoError(t, err)
	assert.Equal(t, "keep", string(text))
}

// The library panics on a descriptor beyond 1023; the port has an error instead.
func TestOpen_TooManyOpenFiles(t *testing.T) {
	var limit unix.Rlimit
	require.NoError(t, unix.Getrlimit(unix.RLIMIT_NOFILE, &limit))
	if limit.Cur < unix.FD_SETSIZE+64 {
		t.Skipf("this process may open %d files only", limit.Cur)
	}
	master, slave, err := pty.Open()
	require.NoError(t, err)
	defer func() { require.NoError(t, errors.Join(master.Close(), slave.Close())) }()
	var taken []*os.File
	defer func() {
		for _, f := range taken {
			require.NoError(t, f.Close())
		}
	}()
	for {
		f, err := os.Open(os.DevNull)
		require.NoError(t, err)
		taken = append(taken, f)
		if f.Fd() >= unix.FD_SETSIZE-3 {
			break
		}
	}
	_, err = Open(context.Background(), Config{Name: slave.Name(), LockDir: t.TempDir()})
	require.ErrorIs(t, err, errDescriptors)
}

func TestWrap_Kinds(t *testing.T) {
	for _, c := range []struct {
		id    string
		cause error
		kind  Kind
	}{
		{"no such file", &os.PathError{Op: "stat", Path: "x", Err: unix.ENOENT}, Missing},
		{"no device", unix.ENODEV, Missing},
		{"refused by the system", &os.PathError{Op: "open", Path: "x", Err: unix.EACCES}, Permission},
		{"held", errHeld{holder: 12}, Busy},
		{"not a terminal", unix.ENOTTY, NotAPort},
		{"other", unix.EIO, Other},
	} {
		t.Run(c.id, func(t *testing.T) {
			e := wrap("open", "/dev/ttyUSB0", c.cause)
			assert.Equal(t, c.kind, e.Kind)
		})
	}
}

func TestKindOf(t *testing.T) {
	for code, kind := range map[serial.PortErrorCode]Kind{
		serial.PortBusy:          Busy,
		serial.PortNotFound:      Missing,
		serial.PermissionDenied:  Permission,
		serial.InvalidSerialPort: NotAPort,
		serial.PortClosed:        Unplugged,
		serial.InvalidSpeed:      Other,
	} {
		assert.Equal(t, kind, kindOf(code))
	}
}

func TestHint_Permission(t *testing.T) {
	assert.Contains(t, permissionHint("/dev/tty", nil), "/dev/tty", "a node of group tty or root")
	file := filepath.Join(t.TempDir(), "ttyUSB0")
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	if err := os.Chown(file, -1, 20); err != nil {
		t.Skipf("the group of a file cannot be set here: %v", err)
	}
	group := owningGroup(file)
	if group == "" {
		t.Skip("group 20 has no name here")
	}
	assert.Contains(t, permissionHint(file, nil), "add yourself to group "+group)
}

func TestHint_Plug(t *testing.T) {
	assert.Contains(t, plugHint(nil), "no serial adapter is plugged in")
	assert.Contains(t, plugHint([]string{"/dev/serial/by-id/a"}), "/dev/serial/by-id/a")
}

func TestCandidates_BestNamesFirst(t *testing.T) {
	byID, byPath := t.TempDir(), t.TempDir()
	assert.Empty(t, candidates([]string{byID, byPath}))
	require.NoError(t, os.WriteFile(filepath.Join(byPath, "p"), nil, 0o600))
	assert.Equal(t, []string{filepath.Join(byPath, "p")}, candidates([]string{byID, byPath}))
	require.NoError(t, os.WriteFile(filepath.Join(byID, "i"), nil, 0o600))
	assert.Equal(t, []string{filepath.Join(byID, "i")}, candidates([]string{byID, byPath}))
}
