//go:build linux

package port

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/creack/pty"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire"
	"arctally/acquire/acquiretest"
	"arctally/acquire/link"
	"arctally/acquire/sensorbox"
	"arctally/acquire/series"
)

// plugCycles is the variable that says how many times plugs are pulled in all.
const plugCycles = "ARCTALLY_PLUG_CYCLES"

const (
	cycleBoxes   = 3
	framesACycle = 8 // that are sent and waited for, from one pull of the plug to the next
	framesAway   = 2 // that the box sends to nobody
	// resumedWithin is the most looks that a port may take to come back: two seconds.
	resumedWithin = int64(2 * time.Second / lookEvery)
)

var errEnough = errors.New("enough frames")

// sentSample is one sample as the box sent it.
type sentSample struct {
	v, i int32
	next int64 // the tick of the sample behind it
}

// sentFrames are what a virtual sensor box says, frame by frame, and each sample in
// them by its tick.
type sentFrames struct {
	frames  [][]byte
	last    []int64 // by frame: the tick of the last sample in it or before it
	samples map[int64]sentSample
}

// laid has a virtual box lay a small bore until it has sent so many frames.
func laid(t *testing.T, seed uint64, frames int) *sentFrames {
	box, err := sensorbox.New(sensorbox.Plan{
		WornDiameter: 0.092, Length: 0.06, Pattern: "helix", Pitch: 0.003, RotationSpeed: 1.25 / 60, WireDiameter: 0.9e-3,
		Voltage: 17.5, Current: 140, WireSpeed: 5.5 / 60, SampleRate: 2000, Seed: seed, GatherCounts: 1,
	})
	require.NoError(t, err)
	s := &sentFrames{samples: map[int64]sentSample{}}
	var stream bytes.Buffer
	_, err = box.Write(context.Background(), writerFunc(func(p []byte) (int, error) {
		if s.frames = append(s.frames, bytes.Clone(p)); len(s.frames) >= frames {
			return 0, errEnough
		}
		return stream.Write(p)
	}))
	require.ErrorIs(t, err, errEnough)
	s.frames = s.frames[:len(s.frames)-1]
	d, err := link.New(link.Binary)
	require.NoError(t, err)
	last := int64(0)
	d.Decode(stream.Bytes(), func(r *link.Reading, damage error) {
		require.NoError(t, damage)
		for _, b := range r.Blocks {
			for k := range b.V {
				last = b.At(k)
				s.samples[last] = sentSample{b.V[k], b.I[k], last + b.Step}
			}
		}
		s.last = append(s.last, last)
	})
	require.Len(t, s.last, len(s.frames))
	return s
}

// measured reports whether so many frames hold samples, each: where one is lost, what
// is missing is seen by the ticks of the samples too.
func (s *sentFrames) measured(from, frames int) bool {
	for k := from; k < from+frames; k++ {
		if k == 0 || s.last[k] == s.last[k-1] {
			return false
		}
	}
	return true
}

type writerFunc func(p []byte) (int, error)

func (f writerFunc) Write(p []byte) (int, error) { return f(p) }

// keeper is a sink that holds what comes against what was sent.
type keeper struct {
	sent *sentFrames

	mu     sync.Mutex
	wrong  []string // samples that were never sent, or came twice, or breaks that are none
	events map[series.EventKind]int64
	last   int64
	v, i   int32 // of the last that came
	any    bool
	came   map[int64]bool
	energy float64 // by what came: code of voltage times code of current, in steps that follow
	truth  float64 // by what was sent, wherever a sample and the one behind it came
}

func (k *keeper) Source(series.Source) error { return nil }

func (k *keeper) Event(e series.Event) error {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.events[e.Kind]++
	return nil
}

func (k *keeper) Block(b *series.Block) error {
	if b.Kind != series.Arc {
		return nil
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	for n := range b.V {
		k.take(b.At(n), b.V[n], b.I[n], b.Break && n == 0)
	}
	return nil
}

func (k *keeper) take(tick int64, v, i int32, broken bool) {
	sent, ok := k.sent.samples[tick]
	before, knownBefore := k.sent.samples[k.last]
	switch {
	case !ok || sent.v != v || sent.i != i:
		k.wrong = append(k.wrong, fmt.Sprintf("tick %d was never sent so", tick))
	case k.came[tick]:
		k.wrong = append(k.wrong, fmt.Sprintf("tick %d came twice", tick))
	case k.any && broken != (before.next != tick):
		k.wrong = append(k.wrong, fmt.Sprintf("tick %d: break %v", tick, broken))
	}
	if k.any && !broken {
		k.energy += halves(k.v, k.i, v, i) * float64(tick-k.last)
	}
	if k.any && knownBefore && before.next == tick {
		k.truth += halves(before.v, before.i, sent.v, sent.i) * float64(tick-k.last)
	}
	k.came[tick], k.any, k.last, k.v, k.i = true, true, tick, v, i
}

// halves is the mean of the power at two samples, in codes.
func halves(v, i, v2, i2 int32) float64 {
	return (float64(v)*float64(i) + float64(v2)*float64(i2)) / 2
}

func (k *keeper) count(kind series.EventKind) int64 {
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.events[kind]
}

// shifting is an adapter whose node has another number each time it comes back,
// where the old one is still taken.
type shifting struct {
	adapter
	looks atomic.Int64
	spare []*os.File
}

// shift takes the number that would be given next.
func (s *shifting) shift() {
	master, slave, err := pty.Open()
	require.NoError(s.t, err)
	s.spare = append(s.spare, master, slave)
}

func (s *shifting) free() {
	for _, f := range s.spare {
		require.NoError(s.t, f.Close())
	}
	s.spare = nil
}

// Three boxes whose plugs are pulled in turn, each time back under another node:
// each goes on, and what was received right is right.
func TestPort_PlugCycles(t *testing.T) {
	cycles := 30
	if text := os.Getenv(plugCycles); text != "" {
		var err error
		cycles, err = strconv.Atoi(text)
		require.NoError(t, err)
	}
	each := (cycles + cycleBoxes - 1) / cycleBoxes
	var boxes sync.WaitGroup
	var worst [cycleBoxes]time.Duration
	for n := range worst {
		boxes.Go(func() { worst[n] = pullPlugs(t, uint64(n+1), each) })
	}
	boxes.Wait()
	t.Logf("%d cycles over %d boxes at once: back within %v at the worst, by the clock on the wall", each*cycleBoxes, cycleBoxes, slices.Max(worst[:]))
}

// pullPlugs has one box lose its plug so many times, and returns the longest time
// from plugging in to the first sample.
func pullPlugs(t *testing.T, seed uint64, cycles int) (worst time.Duration) {
	sent := laid(t, seed, (cycles+1)*3*(framesACycle+framesAway+2))
	a := &shifting{adapter: adapter{t: t, link: filepath.Join(t.TempDir(), fmt.Sprintf("usb-box-%d-if00", seed))}}
	a.plug()
	defer func() { assert.NoError(t, a.master.Close()) }()
	p, err := Open(context.Background(), config(t, a.link))
	require.NoError(t, err)
	p.sleep = func(d time.Duration) bool { a.looks.Add(1); return p.wait(d) }
	k := &keeper{sent: sent, events: map[series.EventKind]int64{}, came: map[int64]bool{}}
	type end struct {
		tally acquire.Tally
		err   error
	}
	done := make(chan end, 1)
	go func() {
		tally, err := acquiretest.Record(context.Background(), p, acquiretest.Config{Link: link.Binary, Sinks: []series.Sink{k}})
		done <- end{tally, err}
	}()
	said := 0 // frames
	next := func() []byte { said++; return sent.frames[said-1] }
	speakAndHear := func() {
		for least := said + framesACycle; said < least || !sent.measured(said-1, framesAway+3); {
			_, err := a.master.Write(next())
			require.NoError(t, err)
		}
		last := sent.last[said-1]
		eventually(t, "all that was sent", func() bool { k.mu.Lock(); defer k.mu.Unlock(); return k.came[last] })
	}
	speakAndHear()
	for n := range cycles {
		if n%2 == 0 {
			a.shift()
		}
		cut := next()
		_, err := a.master.Write(cut[:len(cut)/2])
		require.NoError(t, err)
		a.unplug()
		eventually(t, "unplugged", func() bool { return k.count(series.Unplugged) == int64(n+1) })
		for range framesAway {
			next()
		}
		looks, begun := a.looks.Load(), time.Now()
		a.plug()
		_, err = a.master.Write(next()) // before anybody listens: it comes, or it does not
		require.NoError(t, err)
		eventually(t, "replugged", func() bool { return k.count(series.Replugged) == int64(n+1) })
		assert.LessOrEqual(t, a.looks.Load()-looks, resumedWithin)
		speakAndHear()
		worst = max(worst, time.Since(begun))
		a.free()
	}
	require.NoError(t, p.Close())
	ended := <-done
	require.NoError(t, ended.err)

	assert.Empty(t, k.wrong)
	assert.Equal(t, k.truth, k.energy)
	assert.NotZero(t, k.energy)
	assert.EqualValues(t, cycles, k.events[series.Unplugged])
	assert.EqualValues(t, cycles, k.events[series.Replugged])
	assert.EqualValues(t, cycles, k.events[series.Gap], "each time something is missing, and it is marked")
	assert.EqualValues(t, said, ended.tally.Frames+ended.tally.Lost, "every frame came, or is counted as lost")
	assert.GreaterOrEqual(t, ended.tally.Lost, int64(cycles*(framesAway+1)))
	assert.GreaterOrEqual(t, ended.tally.Frames, int64((cycles+1)*framesACycle), "all that was sent to a port that listened")
	return worst
}
