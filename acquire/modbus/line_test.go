//go:build linux

package modbus_test

import (
	"bytes"
	"context"
	"errors"
	"io"
	"net"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire"
	"arctally/acquire/link"
	"arctally/acquire/modbus"
	"arctally/acquire/port"
	"arctally/acquire/sensorbox"
	"arctally/acquire/series"
)

// TestProbe finds a slave with the block map, and one without it.
func TestProbe(t *testing.T) {
	for unit, image := range map[uint8]func(modbus.Request) ([]uint16, modbus.Exception){
		2: func(modbus.Request) ([]uint16, modbus.Exception) { return modbus.Block{Boot: 1}.Registers(), 0 },
		3: sensorbox.Memory{}.Image,
		4: func(r modbus.Request) ([]uint16, modbus.Exception) { return make([]uint16, r.Count), 0 },
	} {
		synctest.Test(t, func(t *testing.T) {
			host, box := net.Pipe()
			served := make(chan error, 1)
			go func() { served <- (&sensorbox.Slave{Unit: unit, Image: image}).Serve(box) }()
			found, err := modbus.Probe(t.Context(), looking{host}, 0, []uint8{1, 2, 3, 4, 5})
			require.NoError(t, err)
			assert.Equal(t, []modbus.Found{{Unit: unit, Block: unit == 2}}, found)
			require.NoError(t, host.Close())
			t.Log("the slave ended with the line:", <-served)
		})
	}
	host, box := net.Pipe()
	require.NoError(t, box.Close())
	_, err := modbus.Probe(t.Context(), looking{host}, 0, []uint8{1})
	require.Error(t, err)
	require.NoError(t, host.Close())
}

// looking is a line whose reads come back now and then without a byte.
type looking struct{ net.Conn }

func (l looking) Read(p []byte) (int, error) {
	if err := l.SetReadDeadline(time.Now().Add(100 * time.Millisecond)); err != nil {
		return 0, err
	}
	n, err := l.Conn.Read(p)
	if errors.Is(err, os.ErrDeadlineExceeded) {
		err = nil
	}
	return n, err
}

// TestTalker_Echo: where the job says that the line hears itself and it does not, that
// is told; a line that does so unasked is no trouble.
func TestTalker_Echo(t *testing.T) {
	for _, echoes := range []bool{false, true} {
		slave := &sensorbox.Slave{Unit: 1, Image: sensorbox.Memory{}.Image, Trouble: func(int) sensorbox.SlaveTrouble {
			return sensorbox.SlaveTrouble{Silent: true, Echo: echoes}
		}}
		for _, said := range []bool{false, true} {
			e, err := listen(t, slave, modbus.Config{Slave: series.Slave{Unit: 1, Echo: said}}, 2*time.Second)
			require.NoError(t, err)
			want := modbus.Silent
			if said && !echoes {
				want = modbus.NoEcho
			}
			assert.Equal(t, map[modbus.Kind]int{want: len(e.damages)}, e.kinds())
			assert.Greater(t, len(e.damages), 3)
			assert.NotEmpty(t, e.damages[0].Hint())
		}
	}
}

// TestTalker_Pauses: two frames are parted by the silence that the line needs, which at
// 9600 baud is 3.5 characters of 11 bits, 4.0 ms.
func TestTalker_Pauses(t *testing.T) {
	for baud, pause := range map[int]time.Duration{115200: 1750 * time.Microsecond, 9600: 4010416 * time.Nanosecond} {
		var asked []time.Time
		slave := &sensorbox.Slave{Unit: 1, Image: func(modbus.Request) ([]uint16, modbus.Exception) {
			asked = append(asked, time.Now())
			return modbus.Block{}.Registers(), 0
		}}
		_, err := listen(t, slave, modbus.Config{Baud: baud, Slave: series.Slave{Unit: 1}}, time.Second)
		require.NoError(t, err)
		require.Greater(t, len(asked), 100)
		for k := 1; k < len(asked); k++ {
			require.InDelta(t, pause, asked[k].Sub(asked[k-1]), float64(time.Microsecond))
		}
	}
}

// TestTalker_TheLineEnds: the end of a line is a normal end, and what waits for the next
// poll is handed on; a line that fails is an error.
func TestTalker_TheLineEnds(t *testing.T) {
	host, box := net.Pipe()
	e := &ear{}
	m := newMeter(2)
	polls := 0
	slave := &sensorbox.Slave{Unit: 1, Image: func(r modbus.Request) ([]uint16, modbus.Exception) {
		if polls++; polls == 50 {
			require.NoError(t, box.Close())
		}
		return m.image(r)
	}}
	served := make(chan error, 1)
	go func() { served <- slave.Serve(box) }()
	require.NoError(t, modbus.New(host, modbus.Config{Slave: series.Slave{Unit: 1}}).Talk(t.Context(), e))
	require.ErrorIs(t, <-served, io.ErrClosedPipe)
	assert.Len(t, e.windows, 48, "between the 49 that were answered")
	requireWhole(t, e.windows, m.states)

	failing := readWriter{blocking{t.Context().Done()}, failingWriter{}}
	err := modbus.New(failing, modbus.Config{Slave: series.Slave{Unit: 1}}).Talk(t.Context(), e)
	var failed *acquire.Error
	require.ErrorAs(t, err, &failed)
	assert.Equal(t, acquire.ReadFailed, failed.Kind)
	assert.Equal(t, link.Modbus, failed.Link)
}

type readWriter struct {
	io.Reader
	io.Writer
}

type failingWriter struct{}

func (failingWriter) Write([]byte) (int, error) { return 0, os.ErrInvalid }

type blocking struct{ until <-chan struct{} }

func (b blocking) Read([]byte) (int, error) {
	<-b.until
	return 0, io.EOF
}

// TestTalker_Replug pulls the adapter out and puts it back under another number: the
// box counted on meanwhile, and nothing of it is lost.
func TestTalker_Replug(t *testing.T) {
	name := filepath.Join(t.TempDir(), "adapter")
	m := newMeter(4)
	var wires *crossed
	served := make(chan error, 1)
	plug := func() {
		wires = newCrossed(t)
		box, err := os.OpenFile(wires.box, os.O_RDWR, 0)
		require.NoError(t, err)
		slave := &sensorbox.Slave{Unit: 1, Image: m.image}
		go func() {
			err := slave.Serve(box)
			served <- err
		}()
		t.Cleanup(func() { _ = box.Close() }) // it is gone with the adapter
		require.NoError(t, os.Symlink(wires.host, name))
	}
	plug()
	ctx, stop := context.WithTimeout(t.Context(), 2*time.Minute)
	defer stop()
	line, err := port.Open(ctx, port.Config{Name: name, LockDir: t.TempDir()})
	require.NoError(t, err)
	e := &ear{}
	talked := make(chan error, 1)
	go func() {
		talked <- modbus.New(line, modbus.Config{Slave: series.Slave{Unit: 1}}).Talk(ctx, e)
	}()
	until := func(what string, is func() bool) {
		t.Helper()
		for !func() bool { e.mu.Lock(); defer e.mu.Unlock(); return is() }() {
			require.NoError(t, ctx.Err(), what)
			time.Sleep(10 * time.Millisecond)
		}
	}
	until("polled", func() bool { return len(e.windows) > 20 })
	require.NoError(t, os.Remove(name))
	pulled := wires
	hangUp(t, pulled)
	until("unplugged", func() bool { return len(e.events) == 1 })
	before := len(e.windows)
	plug()
	until("polled again", func() bool { return len(e.windows) > before+20 })
	stop()
	require.NoError(t, <-talked)
	require.NoError(t, line.Close())
	m.mu.Lock()
	defer m.mu.Unlock()
	kinds := make([]series.EventKind, 0, len(e.events))
	for _, event := range e.events {
		if event.Kind != series.Remark {
			kinds = append(kinds, event.Kind)
		}
	}
	assert.Equal(t, []series.EventKind{series.Unplugged, series.Replugged}, kinds)
	requireWhole(t, e.windows, m.states)
}

// hangUp takes both ports away from whoever has them open.
func hangUp(t *testing.T, c *crossed) {
	t.Helper()
	for k := range c.masters {
		require.NoError(t, c.masters[k].Close())
		require.NoError(t, c.slaves[k].Close())
	}
}

// TestTalker_AnotherMap: a slave without the map that the job says ends the recording,
// with what is there in its place and what to do.
func TestTalker_AnotherMap(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		slave := &sensorbox.Slave{Unit: 1, Image: func(r modbus.Request) ([]uint16, modbus.Exception) { return make([]uint16, r.Count), 0 }}
		host, box := net.Pipe()
		served := make(chan error, 1)
		go func() { served <- slave.Serve(box) }()
		_, err := acquire.RecordBoxes(t.Context(), []acquire.Box{modbus.NewBox(host, modbus.Config{Slave: series.Slave{Unit: 1}})}, acquire.Config{})
		require.NoError(t, host.Close())
		t.Log("the slave ended with the line:", <-served)
		var failed *acquire.Error
		require.ErrorAs(t, err, &failed)
		assert.Contains(t, err.Error(), "modbus: unit 1, function 4, registers 0 to 33: not the block map: register 0 is 0x0000, not 0x0101")
		assert.Contains(t, failed.Hint(), "list its registers in the job file")
	})
}

// TestTalker_OnTheRecord: by way of the recorder, windows of a slave that misses polls
// follow one another without a break, in one epoch, and a reboot begins another.
func TestTalker_OnTheRecord(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		m := newMeter(6)
		asked := 0
		slave := &sensorbox.Slave{Unit: 1, Image: func(r modbus.Request) ([]uint16, modbus.Exception) {
			if asked++; asked == 2000 {
				m.restart()
			}
			return m.image(r)
		}}
		slave.Trouble = func(n int) sensorbox.SlaveTrouble {
			return sensorbox.SlaveTrouble{Silent: n%7 == 3, Torn: n%11 == 5, Spoil: func(answer []byte) []byte {
				if n%13 == 6 {
					answer = bytes.Clone(answer)
					answer[20] ^= 4
				}
				return answer
			}}
		}
		host, box := net.Pipe()
		served := make(chan error, 1)
		go func() { served <- slave.Serve(box) }()
		ctx, stop := context.WithTimeout(t.Context(), 5*time.Minute)
		defer stop()
		s := &sink{}
		tallies, err := acquire.RecordBoxes(ctx, []acquire.Box{modbus.NewBox(host, modbus.Config{Port: "/dev/x", Slave: series.Slave{Unit: 1}})}, acquire.Config{Sinks: []series.Sink{s}})
		require.NoError(t, err)
		require.NoError(t, host.Close())
		t.Log("the slave ended with the line:", <-served)
		assert.EqualValues(t, 2, tallies[0].Epochs)
		assert.Zero(t, tallies[0].Gaps)
		assert.EqualValues(t, len(s.blocks), tallies[0].Windows)
		require.Len(t, s.sources, 1)
		assert.Equal(t, "/dev/x unit 1", s.sources[0].Port)
		breaks := 0
		for k, b := range s.blocks {
			if b.Break {
				breaks++
			}
			if k > 0 && b.Epoch == s.blocks[k-1].Epoch {
				require.Equal(t, s.blocks[k-1].End(), b.Tick)
			}
		}
		assert.Equal(t, 1, breaks, "where the box began anew")
		kinds := map[series.EventKind]int{}
		for _, event := range s.events {
			kinds[event.Kind]++
		}
		assert.Equal(t, 1, kinds[series.Reboot])
		assert.Greater(t, kinds[series.Damaged], 10)
	})
}

// sink keeps the windows, events and sources of a recording.
type sink struct {
	sources []series.Source
	blocks  []series.Block
	events  []series.Event
}

func (s *sink) Source(x series.Source) error {
	s.sources = append(s.sources, x)
	return nil
}

func (s *sink) Block(b *series.Block) error {
	if b.Kind == series.Sums {
		s.blocks = slices.Grow(s.blocks, 1)[:len(s.blocks)+1]
		s.blocks[len(s.blocks)-1].CopyFrom(b)
	}
	return nil
}

func (s *sink) Event(e series.Event) error {
	s.events = append(s.events, e)
	return nil
}
