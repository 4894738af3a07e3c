//go:build linux

package port

import (
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/creack/pty"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

// Each port once, by the name that lasts longest, whatever other names it has; a link
// that leads nowhere is none.
func TestPlaces_List(t *testing.T) {
	dir := t.TempDir()
	byID, byPath, dev := filepath.Join(dir, "by-id"), filepath.Join(dir, "by-path"), filepath.Join(dir, "dev")
	places := Places{Links: []string{byID, byPath}, Nodes: []string{filepath.Join(dev, "ttyUSB*")}}
	assert.Empty(t, places.List(), "nothing is plugged in")
	for _, d := range []string{byID, byPath, dev} {
		require.NoError(t, os.Mkdir(d, 0o755))
	}
	node := func(name string) string {
		require.NoError(t, os.WriteFile(filepath.Join(dev, name), nil, 0o600))
		return filepath.Join(dev, name)
	}
	link := func(folder, name, node string) string {
		require.NoError(t, os.Symlink(node, filepath.Join(folder, name)))
		return filepath.Join(folder, name)
	}
	first, clone, bare := node("ttyUSB0"), node("ttyUSB1"), node("ttyUSB2")
	node("ttyS0")
	id := link(byID, "usb-box-if00", first)
	path := link(byPath, "pci-1", first)
	other := link(byPath, "pci-2", clone)
	link(byID, "usb-gone-if00", filepath.Join(dev, "ttyUSB9"))

	list := places.List()
	assert.Equal(t, []Named{
		{Name: id, Node: first, Other: []string{path, first}},
		{Name: other, Node: clone, Other: []string{clone}},
		{Name: bare, Node: bare},
	}, list)
	assert.True(t, list[0].Lasting())
	assert.False(t, list[2].Lasting())
	assert.Len(t, In(byPath).List(), 2)
	assert.NotEmpty(t, System().Links)
}

// Who has a node open is seen by what the system says of each process; oneself is not
// among them.
func TestHolders(t *testing.T) {
	master, slave, err := pty.Open()
	require.NoError(t, err)
	defer func() { assert.NoError(t, master.Close()) }()
	defer func() { assert.NoError(t, slave.Close()) }()
	assert.Empty(t, Holders(slave.Name()), "this process alone")
	child := exec.Command("sleep", "600")
	child.Stdin = slave
	child.Stderr = slave
	require.NoError(t, child.Start())
	defer func() { _ = child.Wait() }() // it is killed
	defer func() { assert.NoError(t, child.Process.Kill()) }()
	var held []Holder
	eventually(t, "the child has begun", func() bool {
		held = Holders(slave.Name())
		return len(held) == 1 && held[0].Name == "sleep"
	})
	assert.Equal(t, "process "+strconv.Itoa(child.Process.Pid)+" (sleep)", held[0].String())
	assert.False(t, held[0].Grabs())
	assert.Contains(t, busyHint(slave.Name(), 0), held[0].String()+" has it open")
	assert.Equal(t, "see what holds it with: fuser -v "+master.Name()+"x", busyHint(master.Name()+"x", 0))
}

func TestHolder_Grabs(t *testing.T) {
	for name, grabs := range map[string]bool{"ModemManager": true, "brltty": true, "arctally": false, "": false, "screen": false} {
		assert.Equal(t, grabs, Holder{Process: 1, Name: name}.Grabs(), name)
	}
	assert.Equal(t, "process 7", Holder{Process: 7}.String())
	assert.Contains(t, Advice(), `ENV{ID_MM_DEVICE_IGNORE}="1"`)
	assert.Contains(t, Advice(), RuleFile)
}

// A port can be retuned while it is read, and while it is away.
func TestPort_Retune(t *testing.T) {
	a := newAdapter(t)
	p := open(t, a)
	r := read(p)
	require.NoError(t, p.Retune(9600))
	a.send("x")
	eventually(t, "data", func() bool { return r.got() == "x" })
	speed := func() uint32 { return termios(t, a.link).Ospeed }
	assert.EqualValues(t, 9600, speed())
	assert.Zero(t, termios(t, a.link).Iflag&unix.INPCK)
	a.unplug()
	eventually(t, "unplugged", func() bool { return len(r.kinds()) == 1 })
	require.NoError(t, p.Retune(57600))
	a.plug()
	eventually(t, "replugged", func() bool { return len(r.kinds()) == 2 })
	assert.EqualValues(t, 57600, speed())
	requireKind(t, p.Retune(0), Other)
	require.NoError(t, p.Close())
	requireKind(t, p.Retune(9600), Closed)
}

// termios is how a line is set.
func termios(t *testing.T, name string) *unix.Termios {
	fd, err := unix.Open(name, unix.O_RDONLY|unix.O_NOCTTY|unix.O_NONBLOCK, 0)
	require.NoError(t, err)
	defer func() { assert.NoError(t, unix.Close(fd)) }()
	set, err := unix.IoctlGetTermios(fd, unix.TCGETS2)
	require.NoError(t, err)
	return set
}

// A line with even parity keeps it, whatever its rate and however often it comes back.
func TestPort_EvenParity(t *testing.T) {
	a := newAdapter(t)
	c := config(t, a.link)
	c.Even = true
	p, err := Open(t.Context(), c)
	require.NoError(t, err)
	r := read(p)
	// A pseudo-terminal has no parity, and takes the bit off; that what comes is checked
	// for it stays.
	even := func() bool { return termios(t, a.link).Iflag&unix.INPCK != 0 }
	assert.True(t, even())
	require.NoError(t, p.Retune(9600))
	assert.True(t, even())
	a.unplug()
	eventually(t, "unplugged", func() bool { return len(r.kinds()) == 1 })
	a.plug()
	eventually(t, "replugged", func() bool { return len(r.kinds()) == 2 })
	assert.True(t, even())
	require.NoError(t, p.Close())
}
