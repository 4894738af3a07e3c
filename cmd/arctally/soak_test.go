package main

import (
	"context"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire"
	"arctally/acquire/link"
	"arctally/acquire/record"
	"arctally/acquire/series"
	"arctally/analyze"
	"arctally/cmd/internal/jobfile"
	"arctally/testdata/job/demo"
)

const (
	soakBoxes  = 3
	soakStepUS = 100  // 10 kHz
	soakFrames = 82   // of 122 samples: a second
	soakCycle  = 1200 // s from pass to pass
	soakArc    = 400  // s of them with arc
	// soakLooks is how often the memory is looked at.
	soakLooks = 12
	// soakGrowth is what may be kept of each pass: it stands in the result.
	soakGrowth = 256 << 10 // bytes
	soakSlack  = 4 << 20   // bytes that the garbage collector and the queue of the record may differ by
)

// soakHours is how much of a recording is simulated.
func soakHours(t *testing.T) float64 {
	t.Helper()
	text := os.Getenv("ARCTALLY_BOX_HOURS")
	if text == "" {
		return 0.05
	}
	hours, err := strconv.ParseFloat(text, 64)
	require.NoError(t, err)
	return hours
}

// inStep has boxes live through the same second, whatever that takes.
type inStep struct {
	mu      sync.Mutex
	moved   *sync.Cond
	seconds [soakBoxes]int
	look    func(second int) // called by the first box
}

// reach waits until no box is more than a second behind.
func (s *inStep) reach(k, second int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.seconds[k] = second
	s.moved.Broadcast()
	for {
		least := second
		for _, other := range s.seconds {
			least = min(least, other)
		}
		if least >= second-1 {
			return
		}
		s.moved.Wait()
	}
}

// soaker is a box that welds now and then.
type soaker struct {
	step    *inStep
	k       int
	seconds int
	random  *rand.Rand
	head    link.Header
}

// Talk implements acquire.Talker.
func (s *soaker) Talk(_ context.Context, to acquire.Listener) error {
	decoder, err := link.New(link.Binary)
	if err != nil {
		return err
	}
	s.head = link.Header{Boot: uint16(s.k), StepUS: soakStepUS}
	began := time.Date(2026, 11, 25, 6, 0, 0, 0, time.UTC)
	var stream []byte
	for second := range s.seconds {
		s.step.reach(s.k, second)
		if s.k == 0 {
			s.step.look(second)
		}
		if stream, err = s.second(stream[:0], second); err != nil {
			return err
		}
		arrival := began.Add(time.Duration(s.head.TickUS) * time.Microsecond)
		decoder.Decode(stream, func(r *link.Reading, damage error) { to.Heard(arrival, r, damage) })
		to.Through(arrival, len(stream))
	}
	s.step.reach(s.k, math.MaxInt)
	return nil
}

// second is what it says within one.
func (s *soaker) second(stream []byte, second int) (_ []byte, err error) {
	if second%5 == 0 {
		source := link.DefaultSource(link.Binary)
		source.Name, source.Serial = "soaker", strconv.Itoa(s.k)
		for k := range source.Channels {
			source.Channels[k].Basis = series.Instantaneous
		}
		if stream, err = link.AppendHello(stream, s.head, source); err != nil {
			return nil, err
		}
		s.head.Seq++
	}
	var v, i [link.MaxSamples]int16
	for range soakFrames {
		for k := range v {
			v[k], i[k] = 0, 0
			if noise := s.random.Uint32(); second%soakCycle < soakArc {
				v[k], i[k] = 1750+int16(noise&127), 1400+int16(noise>>8&127)
			}
		}
		stream = link.AppendSamples(stream, s.head, v[:], i[:])
		s.head.Seq++
		s.head.TickUS += link.MaxSamples * soakStepUS
	}
	return stream, nil
}

// A recording of three boxes takes as much memory after hours as it did at first, but for
// what stands in the result of each pass.
func TestSoak_ThreeBoxesAreFlatInMemory(t *testing.T) {
	if testing.Short() {
		t.Skip("it records for a while")
	}
	seconds := int(soakHours(t) * 3600)
	p, err := jobfile.ReadIn(demo.Files, jobfile.Document)
	require.NoError(t, err)
	file := filepath.Join(t.TempDir(), "soak.arctally")
	writer, err := p.CreateRecord(file, time.Now())
	require.NoError(t, err)
	run := analyze.New(p.Job, nil)
	var looks []int64
	step := &inStep{}
	step.moved = sync.NewCond(&step.mu)
	step.look = func(second int) {
		if second == 0 || second%max(1, seconds/soakLooks) != 0 {
			return
		}
		require.NoError(t, writer.Sync())
		var m runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&m)
		looks = append(looks, int64(m.HeapAlloc))
		t.Logf("after %4d min: %.1f MB live, %.1f MB of the system, %d passes", second/60, float64(m.HeapAlloc)/1e6, float64(m.Sys)/1e6, second/soakCycle+1)
	}
	var boxes []acquire.Box
	for k := range soakBoxes {
		s := &soaker{step: step, k: k, seconds: seconds, random: rand.New(rand.NewPCG(uint64(k), 5))}
		boxes = append(boxes, acquire.Box{Talker: s, Source: link.DefaultSource(link.Binary)})
	}
	tallies, err := acquire.RecordBoxes(t.Context(), boxes, acquire.Config{Sinks: []series.Sink{writer, ofTheArc{run}}})
	require.NoError(t, err)
	require.NoError(t, writer.Close())
	for k, tally := range tallies {
		require.InDelta(t, int64(seconds)*soakFrames*link.MaxSamples, tally.Samples, 2*soakFrames*link.MaxSamples, "box %d", k)
		require.Zero(t, tally.Lost+tally.Damaged)
	}
	require.NoError(t, record.Verify(file))
	require.GreaterOrEqual(t, len(looks), soakLooks-1)
	passes := int64(seconds/soakCycle + 1)
	assert.Less(t, looks[len(looks)-1], looks[1]+soakSlack+passes*soakGrowth, "bytes live at the end, and near the beginning: %v", looks)
}
