//go:build linux

package modbus_test

import (
	"bufio"
	"context"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"sync"
	"testing"
	"time"

	"github.com/creack/pty"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"arctally/acquire/modbus"
	"arctally/acquire/port"
	"arctally/acquire/series"
)

// crossed is two serial ports that hear one another.
type crossed struct {
	host, box string
	masters   [2]*os.File
	slaves    [2]*os.File
	copying   sync.WaitGroup
}

func newCrossed(t *testing.T) *crossed {
	t.Helper()
	c := &crossed{}
	for k := range c.masters {
		master, slave, err := pty.Open()
		require.NoError(t, err)
		c.masters[k], c.slaves[k] = master, slave
		raw, err := slave.SyscallConn()
		require.NoError(t, err)
		require.NoError(t, raw.Control(func(fd uintptr) {
			settings, err := unix.IoctlGetTermios(int(fd), unix.TCGETS)
			require.NoError(t, err)
			settings.Iflag, settings.Oflag, settings.Lflag = 0, 0, 0
			require.NoError(t, unix.IoctlSetTermios(int(fd), unix.TCSETS, settings))
		}))
	}
	c.host, c.box = c.slaves[0].Name(), c.slaves[1].Name()
	for k := range c.masters {
		c.copying.Go(func() {
			_, _ = io.Copy(c.masters[1-k], c.masters[k]) // ends as the ports are closed
		})
	}
	return c
}

// unplug ends both ports, once whoever had them open has left.
func (c *crossed) unplug(t *testing.T) {
	t.Helper()
	for k := range c.slaves {
		require.NoError(t, c.slaves[k].Close())
	}
	c.copying.Wait()
	for k := range c.masters {
		require.NoError(t, c.masters[k].Close())
	}
}

// peers are slaves by others, which share no code with ours.
var peers = map[string]func(t *testing.T) (program string, arguments []string){
	"libmodbus": func(t *testing.T) (string, []string) {
		if _, err := os.Stat("/usr/include/modbus/modbus.h"); err != nil {
			missing(t, "libmodbus-dev", err)
		}
		if _, err := exec.LookPath("gcc"); err != nil {
			missing(t, "gcc", err)
		}
		program := filepath.Join(t.TempDir(), "slave")
		said, err := exec.CommandContext(t.Context(), "gcc", "-I/usr/include/modbus", "-o", program, "testdata/slave.c", "-lmodbus").CombinedOutput()
		require.NoError(t, err, string(said))
		return program, nil
	},
	"pymodbus": func(t *testing.T) (string, []string) {
		for _, python := range []string{"/usr/bin/python3", "python3"} { // the system's has the system's packages
			if exec.CommandContext(t.Context(), python, "-c", "import pymodbus, serial").Run() == nil {
				return python, []string{"testdata/slave.py"}
			}
		}
		missing(t, "python3-pymodbus and python3-serial", exec.ErrNotFound)
		return "", nil
	},
}

// missing skips a test whose peer is not installed.
func missing(t *testing.T, packages string, err error) {
	t.Helper()
	if os.Getenv("CI") != "" {
		t.Fatalf("an independent slave is not installed (%s): %v", packages, err)
	}
	t.Skipf("an independent slave is not installed (%s): %v", packages, err)
}

// poll has a peer polled until it was heard often enough.
func poll(t *testing.T, name string, c modbus.Config, enough func(*ear) bool) (*ear, time.Duration) {
	t.Helper()
	program, arguments := peers[name](t)
	c.Slave.Unit = 17
	wires := newCrossed(t)
	defer wires.unplug(t)
	command := exec.CommandContext(t.Context(), program, append(arguments, wires.box, strconv.Itoa(int(c.Slave.Unit)))...)
	command.Stderr = os.Stderr
	out, err := command.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, command.Start())
	defer func() {
		require.NoError(t, command.Process.Kill())
		_ = command.Wait() // it was killed
	}()
	said, err := bufio.NewReader(out).ReadString('\n')
	require.NoError(t, err)
	require.Equal(t, "ready\n", said)

	ctx, stop := context.WithTimeout(t.Context(), 2*time.Minute)
	defer stop()
	line, err := port.Open(ctx, port.Config{Name: wires.host, LockDir: t.TempDir()})
	require.NoError(t, err)
	e := &ear{}
	begun := time.Now()
	talked := make(chan error, 1)
	go func() { talked <- modbus.New(line, c).Talk(ctx, e) }()
	heard := func() bool {
		e.mu.Lock()
		defer e.mu.Unlock()
		require.NoError(t, ctx.Err(), "%d readings, damages %v", len(e.readings), e.kinds())
		return enough(e)
	}
	for !heard() {
		time.Sleep(5 * time.Millisecond)
	}
	stop()
	require.NoError(t, <-talked)
	require.NoError(t, line.Close())
	return e, time.Since(begun)
}

// TestPeers_BlockMap: the energy of slaves that others wrote is what they counted, to
// the last digit, with counters that wrap on the way.
func TestPeers_BlockMap(t *testing.T) {
	const enough = 600
	for name := range peers {
		t.Run(name, func(t *testing.T) {
			e, took := poll(t, name, modbus.Config{Slave: series.Slave{WirePerCount: 1e-3}}, func(e *ear) bool { return len(e.windows) >= enough })
			next := e.windows[0].Tick
			for n, w := range e.windows {
				require.Equal(t, next, w.Tick, "window %d", n)
				next = w.End()
				const state = 13157 * 1000 // ns between two
				k, m := w.Tick/state, next/state
				require.Zero(t, w.Tick%state)
				require.Equal(t, m*state, next)
				require.Equal(t, (65000*m+m*m-65000*k-k*k)*1000, w.Sum.VI)
				require.Equal(t, 263143*(m-k), w.Sum.V)
				require.Equal(t, 2631400*(m-k)+m*m-k*k, w.Sum.I)
				require.Equal(t, w.Sum.Count, w.Sum.ArcOn, "ms are counted, and it is all in arc")
				require.EqualValues(t, 11*(m-k), w.Sum.WireCount)
			}
			for kind := range e.kinds() {
				assert.Contains(t, []modbus.Kind{modbus.Silent, modbus.Twice}, kind, "while it starts, or as the machine is busy, and an answer is late")
			}
			report(t, e, took)
		})
	}
}

// TestPeers_FreeMap reads floats of slaves that others wrote, in both orders of words.
func TestPeers_FreeMap(t *testing.T) {
	for name := range peers {
		for _, lowFirst := range []bool{false, true} {
			t.Run(name+map[bool]string{false: ", high word first", true: ", low word first"}[lowFirst], func(t *testing.T) {
				at := map[bool]uint16{false: 0, true: 10}[lowFirst]
				e, _ := poll(t, name, modbus.Config{Slave: series.Slave{Registers: []series.Register{
					{Channel: "voltage", Address: at, Function: 3, Type: series.F32, LowFirst: lowFirst, Unit: "V", Scale: 1},
					{Channel: "current", Address: at + 2, Function: 3, Type: series.F32, LowFirst: lowFirst, Unit: "A", Scale: 1},
				}}}, func(e *ear) bool { return len(e.arcs) >= 50 })
				for _, b := range e.arcs {
					require.Equal(t, int32(24_750_000), b.V[0])
					require.Equal(t, int32(21_050_000), b.I[0])
				}
			})
		}
	}
}

// report prints how fast a peer was polled.
func report(t *testing.T, e *ear, took time.Duration) {
	t.Helper()
	trips := slices.Clone(e.trips)
	slices.Sort(trips)
	t.Logf("%.0f polls in a second; round trip p50 %v, p99 %v", float64(len(e.readings))/took.Seconds(), trips[len(trips)/2], trips[len(trips)*99/100])
}
