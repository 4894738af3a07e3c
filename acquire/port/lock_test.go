//go:build linux

package port

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"strconv"
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

func TestLockDir(t *testing.T) {
	temporary := t.TempDir()
	t.Setenv("TMPDIR", temporary)
	shared := t.TempDir()
	dir, err := lockDir(shared)
	require.NoError(t, err)
	assert.Equal(t, shared, dir)
	for range 2 { // it is made, and found again
		dir, err = lockDir(filepath.Join(shared, "none"))
		require.NoError(t, err)
		assert.Equal(t, filepath.Join(temporary, "arctally-locks"), dir)
		info, err := os.Stat(dir)
		require.NoError(t, err)
		assert.Equal(t, fs.ModeDir|fs.ModeSticky|0o777, info.Mode(), "any user may make files in it, whatever the umask")
	}
	t.Setenv("TMPDIR", filepath.Join(temporary, "none"))
	_, err = lockDir(filepath.Join(shared, "none"))
	assert.ErrorIs(t, err, fs.ErrNotExist)
}

func TestReadHolder(t *testing.T) {
	for text, want := range map[string]int{"": 0, "17\n": 17, " 7 ": 7, "x\n": 0, "\n": 0, "12345678901234567890": 0} {
		path := filepath.Join(t.TempDir(), "lock")
		require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
		file, err := os.Open(path)
		require.NoError(t, err)
		assert.Equal(t, want, readHolder(file), "%q", text)
		require.NoError(t, file.Close())
	}
}

// A lock names its holder while it is held, and nobody afterwards.
func TestTakeLock_NamesItsHolder(t *testing.T) {
	dir := t.TempDir()
	l, err := takeLock(dir, unix.Mkdev(188, 3))
	require.NoError(t, err)
	text := func() string {
		t.Helper()
		text, err := os.ReadFile(filepath.Join(dir, "arctally-tty-188-3"))
		require.NoError(t, err)
		return string(text)
	}
	assert.Equal(t, strconv.Itoa(os.Getpid())+"\n", text())
	_, err = takeLock(dir, unix.Mkdev(188, 3))
	assert.Equal(t, errHeld{holder: os.Getpid()}, err)
	assert.EqualError(t, err, fmt.Sprintf("locked by process %d", os.Getpid()))
	other, err := takeLock(dir, unix.Mkdev(188, 4))
	require.NoError(t, err, "another device")
	require.NoError(t, errors.Join(l.release(), other.release()))
	assert.Empty(t, text())
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
	last := func() *os.File { return taken[len(taken)-1] }
	for len(taken) == 0 || last().Fd() < unix.FD_SETSIZE-1 {
		f, err := os.Open(os.DevNull)
		require.NoError(t, err)
		taken = append(taken, f)
	}
	release := func() {
		require.NoError(t, last().Close())
		taken = taken[:len(taken)-1]
	}
	release()
	release()
	require.ErrorIs(t, checkDescriptors(int(last().Fd())), errDescriptors, "two are left")
	_, err = Open(context.Background(), Config{Name: slave.Name(), LockDir: t.TempDir()})
	require.ErrorIs(t, err, errDescriptors)
	release()
	require.NoError(t, checkDescriptors(int(last().Fd())), "the library takes three")
	require.NoError(t, checkDescriptors(int(last().Fd())), "and none stays taken")
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

func TestError_Text(t *testing.T) {
	words := map[Kind]string{
		Other: "failed", Missing: "missing", Busy: "busy", Permission: "permission denied", NotAPort: "not a serial port",
		Closed: "closed", Unplugged: "unplugged", Unplugged + 1: "unknown", 200: "unknown",
	}
	for kind, word := range words {
		assert.EqualError(t, &Error{Op: "open", Port: "/dev/ttyUSB0", Kind: kind}, "open port /dev/ttyUSB0: "+word)
	}
	cause := errors.New("the cause")
	assert.EqualError(t, &Error{Op: "read", Port: "p", Err: cause}, "read port p: failed: the cause")
	own, err := os.Executable()
	require.NoError(t, err)
	held := fmt.Sprintf("lock port p: busy, held by process %d (%s)", os.Getpid(), filepath.Base(own))
	assert.EqualError(t, wrap("lock", "p", errHeld{holder: os.Getpid()}), held)
	const nobody = 1 << 30 // no system counts its processes so far
	assert.EqualError(t, wrap("lock", "p", errHeld{holder: nobody}), "lock port p: busy, held by process 1073741824")
}

// The library's word for a node that went is that somebody closed the port; its
// other words are kept.
func TestWrap_wordsOfTheLibrary(t *testing.T) {
	master, slave, err := pty.Open()
	require.NoError(t, err)
	line, err := serial.Open(slave.Name(), &serial.Mode{})
	require.NoError(t, err)
	require.NoError(t, errors.Join(line.Close(), slave.Close(), master.Close()))
	_, closed := line.Read(make([]byte, 1))
	e := wrap("read", "p", closed)
	assert.Equal(t, Unplugged, e.Kind)
	require.NoError(t, e.Err)
	_, invalid := serial.Open(os.DevNull, &serial.Mode{})
	e = wrap("open", "p", invalid)
	assert.Equal(t, NotAPort, e.Kind)
	assert.Equal(t, invalid, e.Err)
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
	want, err := user.LookupGroupId("20")
	if err != nil {
		t.Skip("group 20 has no name here")
	}
	assert.Equal(t, "add yourself to group "+want.Name+": sudo usermod -a -G "+want.Name+" $USER, then log in again", permissionHint(file, nil))
	refused := &os.PathError{Op: "open", Path: file, Err: unix.EACCES}
	assert.Equal(t, permissionHint(file, nil), permissionHint("/dev/other", refused), "the group of what was refused")
}

func TestOwningGroup(t *testing.T) {
	assert.Empty(t, owningGroup(filepath.Join(t.TempDir(), "none")))
	file := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	want, err := user.LookupGroupId(strconv.Itoa(os.Getgid()))
	require.NoError(t, err)
	assert.Equal(t, want.Name, owningGroup(file))
	const nobodys = 1 << 30
	if os.Chown(file, -1, nobodys) == nil {
		assert.Empty(t, owningGroup(file), "a group without a name")
	}
}

func TestHint_Busy(t *testing.T) {
	assert.Equal(t, "see what holds it with: fuser -v p", busyHint("p", 0))
	assert.Equal(t, "two sensors of the job name the same port: give each its own", busyHint("p", os.Getpid()))
	assert.Equal(t, "end process 1, or name another port", busyHint("p", 1))
	assert.Empty(t, (&Error{Kind: Closed}).Hint())
}

func TestHint_Plug(t *testing.T) {
	assert.Contains(t, plugHint(nil), "no serial adapter is plugged in")
	assert.Contains(t, plugHint([]string{"/dev/serial/by-id/a"}), "/dev/serial/by-id/a")
}
