//go:build linux

package links

import (
	"context"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/creack/pty"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"arctally/acquire/link"
	"arctally/acquire/modbus"
	"arctally/acquire/port"
	"arctally/acquire/sensorbox"
	"arctally/analyze/procedure"
)

// plugged makes a pseudo-terminal behind a name in a folder, at whose other end
// somebody speaks until the test ends.
func plugged(t *testing.T, folder, name string, says func(time.Duration) []byte) (other *os.File) {
	t.Helper()
	master, slave, err := pty.Open()
	require.NoError(t, err)
	fd, err := unix.Dup(int(master.Fd()))
	require.NoError(t, err)
	require.NoError(t, master.Close())
	require.NoError(t, unix.SetNonblock(fd, true)) // so that closing it ends a write that nobody takes
	master = os.NewFile(uintptr(fd), "master")
	set, err := unix.IoctlGetTermios(int(slave.Fd()), unix.TCGETS)
	require.NoError(t, err)
	set.Lflag, set.Iflag, set.Oflag = 0, 0, 0
	require.NoError(t, unix.IoctlSetTermios(int(slave.Fd()), unix.TCSETS, set))
	require.NoError(t, os.Symlink(slave.Name(), filepath.Join(folder, name)))
	stop := make(chan struct{})
	var speaking sync.WaitGroup
	if says != nil {
		speaking.Go(func() {
			for begun := time.Now(); ; {
				select {
				case <-stop:
					return
				case <-time.After(20 * time.Millisecond):
				}
				if _, err := master.Write(says(time.Since(begun))); err != nil {
					return
				}
			}
		})
	}
	t.Cleanup(func() {
		close(stop)
		assert.NoError(t, slave.Close())
		assert.NoError(t, master.Close())
		speaking.Wait()
	})
	return master
}

// Over real ports: each is found by its name, and what is on it is heard at once with
// the others.
func TestFind(t *testing.T) {
	folder := t.TempDir()
	plugged(t, folder, "usb-wire-if00", textBox(link.AppendDelimited))
	plugged(t, folder, "usb-silent-if00", nil)
	plugged(t, folder, "usb-arc-if00", binaryBox(t, nil))
	plugged(t, folder, "usb-taken-if00", nil)
	taken, err := port.Open(context.Background(), port.Config{Name: filepath.Join(folder, "usb-taken-if00")})
	require.NoError(t, err)
	defer func() { assert.NoError(t, taken.Close()) }()
	require.NoError(t, os.WriteFile(filepath.Join(folder, "usb-zero-if00"), nil, 0o600))

	var mu sync.Mutex
	told := map[string]int{}
	var asked int
	ports, err := Find(context.Background(), Options{
		Places: port.In(folder), For: 500 * time.Millisecond,
		Progress: func(name, _ string) { mu.Lock(); defer mu.Unlock(); told[filepath.Base(name)]++ },
		Ask: func(_ context.Context, line io.ReadWriter, baud int) *Speech {
			mu.Lock()
			defer mu.Unlock()
			asked++
			n, err := line.Read(make([]byte, 8))
			assert.Zero(t, n)
			assert.NoError(t, err)
			_, err = line.Write([]byte("?"))
			assert.NoError(t, err)
			return nil
		},
	})
	require.NoError(t, err)
	states := map[string]State{}
	names := make([]string, 0, len(ports))
	for _, p := range ports {
		name := strings.TrimSuffix(filepath.Base(p.Name), "-if00")
		states[name] = p.State
		names = append(names, name)
	}
	assert.Equal(t, map[string]State{"usb-arc": Speaks, "usb-wire": Speaks, "usb-silent": Silent, "usb-taken": Busy, "usb-zero": Closed}, states)
	assert.ElementsMatch(t, []string{"usb-arc", "usb-wire"}, names[:2])
	assert.Equal(t, len(bauds), asked, "the silent one alone")
	assert.GreaterOrEqual(t, told["usb-arc-if00"], 2)
	for _, p := range ports {
		switch p.State {
		case Busy:
			assert.Equal(t, "a recording of this program has it open", p.Problem)
		case Closed:
			assert.Contains(t, p.Problem, "not a serial port")
		}
	}
	again, err := port.Open(context.Background(), port.Config{Name: filepath.Join(folder, "usb-arc-if00")})
	require.NoError(t, err, "the ports are free again")
	require.NoError(t, again.Close())
}

func TestFind_Ends(t *testing.T) {
	folder := t.TempDir()
	plugged(t, folder, "usb-silent-if00", nil)
	ctx, cancel := context.WithCancel(context.Background())
	_, err := Find(ctx, Options{Places: port.In(folder), Progress: func(string, string) { cancel() }})
	assert.ErrorIs(t, err, context.Canceled)
}

// A slave says nothing unless it is asked; then its unit is known, and whether it has
// the block map.
func TestFind_Modbus(t *testing.T) {
	for _, c := range []struct {
		id    string
		image func(modbus.Request) ([]uint16, modbus.Exception)
		line  string
		says  string
	}{
		{"block map", func(r modbus.Request) ([]uint16, modbus.Exception) {
			registers := make([]uint16, r.Count)
			registers[0] = 0x0101
			return registers, 0
		}, ", link: modbus, baud: 115200, unit: 2, map: block}\n", "a slave, unit 2, with the block map of sums"},
		{"others", func(modbus.Request) ([]uint16, modbus.Exception) { return nil, 2 }, "", "a slave, unit 2, with registers of its own"},
	} {
		t.Run(c.id, func(t *testing.T) {
			folder := t.TempDir()
			master := plugged(t, folder, "usb-slave-if00", nil)
			slave := sensorbox.Slave{Unit: 2, Image: c.image}
			served := make(chan error, 1)
			go func() { served <- slave.Serve(master) }()
			ports, err := Find(context.Background(), Options{Places: port.In(folder), Ask: AskModbus})
			require.NoError(t, err)
			require.Len(t, ports, 1)
			p := ports[0]
			require.Equal(t, Speaks, p.State, p.Problem)
			assert.Contains(t, p.text(), c.says)
			assert.Equal(t, "2", p.Values()["unit"])
			if c.line == "" {
				assert.Empty(t, p.Sensor)
				assert.Contains(t, p.Hint, "registers: [")
				return
			}
			assert.Contains(t, p.Sensor, c.line)
			job, err := procedure.ParseJob("job.yaml", []byte("job: A\nprocedure: p\ndeposit: {pattern: straight}\n"+Sensors(ports)))
			require.NoError(t, err)
			assert.EqualValues(t, 2, job.Sensors[0].Slave.Unit)
		})
	}
}
