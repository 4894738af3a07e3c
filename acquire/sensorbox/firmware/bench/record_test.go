package bench_test

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/acquire"
	"arctally/acquire/acquiretest"
	"arctally/acquire/link"
	"arctally/acquire/port"
	"arctally/acquire/sensorbox/firmware/bench"
	"arctally/acquire/series"
)

// recorded is what the recorder made of a box, and what the emulator saw of it.
type recorded struct {
	tally   acquire.Tally
	sources []series.Source
	blocks  []series.Block
	events  []series.Event
	bytes   []byte
	seen    bench.Seen
}

func (r *recorded) Source(s series.Source) error {
	r.sources = append(r.sources, s)
	return nil
}

func (r *recorded) Block(b *series.Block) error {
	var kept series.Block
	kept.CopyFrom(b)
	r.blocks = append(r.blocks, kept)
	return nil
}

func (r *recorded) Event(e series.Event) error {
	r.events = append(r.events, e)
	return nil
}

// patience is how long bytes may be on their way before they are called lost.
const patience = time.Minute

// tapped keeps the bytes that a port brings.
type tapped struct {
	*port.Port
	bytes bytes.Buffer
	taken atomic.Int64
}

func (t *tapped) Read(p []byte) (int, error) {
	n, err := t.Port.Read(p)
	t.bytes.Write(p[:n])
	t.taken.Add(int64(n))
	return n, err
}

// record has a box do a script, and the recorder at the other end of its line, who says
// something to it.
func record(t *testing.T, s bench.Script, say ...byte) *recorded {
	t.Helper()
	s.Said = len(say)
	run := bench.Start(t, s)
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	p, err := port.Open(ctx, port.Config{Name: run.Port, LockDir: t.TempDir()})
	require.NoError(t, err)
	r := &recorded{}
	line := &tapped{Port: p}
	ended := make(chan error, 1)
	go func() {
		var err error
		r.seen, err = run.Wait()
		for begun := time.Now(); err == nil && line.taken.Load() < int64(r.seen.Sent) && time.Since(begun) < patience; {
			time.Sleep(time.Millisecond)
		}
		ended <- errors.Join(err, run.Unplug())
		cancel()
	}()
	_, err = p.Write(say)
	require.NoError(t, err)
	r.tally, err = acquiretest.Record(ctx, line, acquiretest.Config{Link: link.Binary, Now: time.Now, Sinks: []series.Sink{r}})
	require.NoError(t, err)
	require.NoError(t, <-ended)
	require.NoError(t, p.Close())
	r.bytes = line.bytes.Bytes()
	require.Equal(t, r.seen.Sent, len(r.bytes), "bytes on the line")
	return r
}

// whole wants every frame accepted, and none missing.
func (r *recorded) whole(t *testing.T) {
	t.Helper()
	require.Positive(t, r.tally.Frames)
	require.Zero(t, r.tally.Damaged)
	require.Zero(t, r.tally.Lost)
	require.Zero(t, r.tally.Repeated)
}

// of returns the blocks of one kind.
func (r *recorded) of(kind series.Kind) (blocks []series.Block) {
	for _, b := range r.blocks {
		if b.Kind == kind {
			blocks = append(blocks, b)
		}
	}
	return blocks
}

// readings decodes once more all that came; an error is a frame that a reset cut short.
func (r *recorded) readings(t *testing.T, take func(*link.Reading)) (damaged int) {
	t.Helper()
	d, err := link.New(link.Binary)
	require.NoError(t, err)
	d.Decode(r.bytes, func(reading *link.Reading, err error) {
		if err != nil {
			damaged++
			return
		}
		take(reading)
	})
	return damaged
}

// sample is one pair of codes in V and A.
type sample struct {
	epoch int
	tick  float64 // s
	v, i  float64
	fresh bool // it does not follow the one before
}

// samples returns all of them by the scales of the HELLO.
func (r *recorded) samples() (all []sample) {
	s := r.sources[0]
	for _, b := range r.of(series.Arc) {
		for k := range b.V {
			all = append(all, sample{
				b.Epoch, float64(b.At(k)) / 1e9, valueOf(s, series.VoltageChannel, b.V[k]), valueOf(s, series.CurrentChannel, b.I[k]), b.Break && k == 0,
			})
		}
	}
	return all
}

func valueOf(s series.Source, channel int, code int32) float64 {
	return float64(code)*s.Channels[channel].Scale + s.Channels[channel].Offset
}

// energy is that of the trapezoids, in J, over every step but those over a break.
func energy(all []sample) (joules float64) {
	for k := 1; k < len(all); k++ {
		a, b := all[k-1], all[k]
		if !b.fresh && a.epoch == b.epoch {
			joules += (a.v*a.i + b.v*b.i) / 2 * (b.tick - a.tick)
		}
	}
	return joules
}

// boots are the numbers of the boots that spoke, in order.
func (r *recorded) boots(t *testing.T) (boots []uint16) {
	t.Helper()
	r.readings(t, func(reading *link.Reading) {
		if n := len(boots); n == 0 || boots[n-1] != reading.Boot {
			boots = append(boots, reading.Boot)
		}
	})
	return boots
}

// hellos is how often the box described itself.
func (r *recorded) hellos(t *testing.T) (n int) {
	t.Helper()
	r.readings(t, func(reading *link.Reading) {
		if reading.Source != nil {
			n++
		}
	})
	return n
}

// fileOf is a file of some bytes.
func fileOf(t *testing.T, some ...byte) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), "bytes")
	require.NoError(t, os.WriteFile(file, some, 0o600))
	return file
}
