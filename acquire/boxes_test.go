package acquire_test

import (
	"context"
	"errors"
	"io"
	"math/rand/v2"
	"slices"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire"
	"arctally/acquire/link"
	"arctally/acquire/series"
)

// companionSource is a box that samples neither voltage nor current.
func companionSource() series.Source {
	return series.Source{
		Name: "gas box", Serial: "G1", Link: link.Binary, Channels: []series.Channel{
			{Name: "gas_flow", Unit: "L/min", Scale: 1}, {Name: "temperature", Unit: "degC", Scale: 1},
		},
	}
}

// stage has boxes speak when the test says so.
type stage struct {
	t      *testing.T
	sink   *lockedSink
	actors []*actor
	beat   chan time.Time
	stop   context.CancelFunc
	ended  chan struct{}
	tally  []acquire.Tally
	err    error
}

// actor is the Talker of one box. What it is told to do, it does within Talk.
type actor struct {
	decoder link.Decoder
	do      chan func(acquire.Listener) error
	done    chan struct{}
}

func (a *actor) Talk(ctx context.Context, to acquire.Listener) error {
	for {
		select {
		case <-ctx.Done():
			return nil
		case act := <-a.do:
			err := act(to)
			a.done <- struct{}{}
			if err != nil {
				return err
			}
		}
	}
}

// newStage begins to record boxes with these default sources.
func newStage(t *testing.T, sources ...series.Source) *stage {
	t.Helper()
	s := &stage{t: t, sink: &lockedSink{}, beat: make(chan time.Time), ended: make(chan struct{})}
	var boxes []acquire.Box
	for _, source := range sources {
		decoder, err := link.New(link.Binary)
		require.NoError(t, err)
		a := &actor{decoder: decoder, do: make(chan func(acquire.Listener) error), done: make(chan struct{})}
		s.actors = append(s.actors, a)
		boxes = append(boxes, acquire.Box{Talker: a, Source: source})
	}
	var ctx context.Context
	ctx, s.stop = context.WithCancel(t.Context())
	go func() {
		defer close(s.ended)
		s.tally, s.err = acquire.RecordBoxes(ctx, boxes, acquire.Config{Sinks: []series.Sink{s.sink}, Beat: s.beat})
	}()
	t.Cleanup(func() { s.stop(); <-s.ended })
	return s
}

// on returns the default source of a binary box on a port.
func on(port string) series.Source {
	s := link.DefaultSource(link.Binary)
	s.Port = port
	return s
}

func (s *stage) act(k int, act func(acquire.Listener) error) {
	s.t.Helper()
	select {
	case s.actors[k].do <- act:
		<-s.actors[k].done
	case <-time.After(time.Minute):
		s.t.Fatalf("box %d does not talk", k)
	}
}

var stageTime = time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)

// says has a box send what it has not sent yet.
func (s *stage) says(k int, b *box) {
	s.t.Helper()
	stream := b.stream
	b.stream = nil
	s.saysBytes(k, stream)
}

func (s *stage) saysBytes(k int, stream []byte) {
	s.t.Helper()
	s.act(k, func(to acquire.Listener) error {
		s.actors[k].decoder.Decode(stream, func(r *link.Reading, err error) { to.Heard(stageTime, r, err) })
		to.Through(stageTime, len(stream))
		return nil
	})
}

func (s *stage) seconds(n int) {
	for range n {
		s.beat <- stageTime
	}
}

// end ends the recording and returns what the sink was given.
func (s *stage) end() *memory {
	s.stop()
	<-s.ended
	return &s.sink.memory
}

// kinds are those of the events of a box.
func (m *memory) kinds(box int) (kinds []series.EventKind) {
	for _, e := range m.events {
		if e.Box == box {
			kinds = append(kinds, e.Kind)
		}
	}
	return kinds
}

// boxOf returns which box each epoch belongs to, and requires that it is one.
func (m *memory) boxOf(t *testing.T) map[int]int {
	t.Helper()
	box := map[int]int{}
	see := func(epoch, b int) {
		if known, ok := box[epoch]; ok {
			require.Equal(t, known, b, "epoch %d", epoch)
		}
		box[epoch] = b
	}
	for _, b := range m.blocks {
		see(b.Epoch, b.Box)
	}
	for _, e := range m.events {
		see(e.Epoch, e.Box)
	}
	for _, f := range m.fits {
		see(f.Epoch, f.Box)
	}
	return box
}

func TestRecordBoxes_EveryEpochBelongsToOneBox(t *testing.T) {
	s := newStage(t, on("a"), on("b"))
	arc, gas := newBox(t), newBox(t)
	arc.hello(described())
	arc.arc(1)
	s.says(0, arc)
	gas.hello(companionSource())
	gas.slow(0, 14)
	s.says(1, gas)
	gas.reboot()
	gas.hello(companionSource())
	gas.slow(0, 15)
	s.says(1, gas)
	arc.arc(1)
	arc.reboot()
	arc.hello(described())
	arc.arc(1)
	s.says(0, arc)
	m := s.end()
	require.NoError(t, s.err)
	assert.Equal(t, map[int]int{0: 0, 1: 1, 2: 1, 3: 0}, m.boxOf(t))
	assert.Equal(t, []series.EventKind{series.Reboot}, m.kinds(0))
	assert.Equal(t, []series.EventKind{series.Reboot}, m.kinds(1))
	require.Len(t, m.sources, 2)
	assert.Equal(t, "a", m.sources[0].Port)
	assert.Equal(t, 1, m.sources[1].Box)
	assert.Equal(t, "b", m.sources[1].Port)
	assert.Equal(t, "G1", m.sources[1].Serial)
	require.Len(t, s.tally, 2)
	assert.Equal(t, []int{0, 1}, []int{s.tally[0].Box, s.tally[1].Box})
	assert.EqualValues(t, 3*samples, s.tally[0].Samples)
	assert.EqualValues(t, 2, s.tally[1].Epochs)
	require.NotEmpty(t, m.fits)
}

// Whatever the others say in between, of each box the same is recorded as if it were alone.
func TestRecordBoxes_NoneDisturbsAnother(t *testing.T) {
	arc := newBox(t)
	arc.hello(described())
	arc.arc(5)
	arc.loseArc(2)
	arc.arc(3)
	arc.reboot()
	arc.arc(2)
	wire := newBox(t)
	wire.arc(2)
	wire.stream = append(wire.stream, garbage(100)...)
	wire.turn(1, 2)
	wire.hello(of("18"))
	wire.arc(4)
	gas := newBox(t)
	gas.hello(companionSource())
	gas.slow(0, 14)
	gas.reboot()
	gas.slow(1, 20)
	streams := [][]byte{arc.stream, wire.stream, gas.stream}
	alone, tallies := make([]*memory, len(streams)), make([]acquire.Tally, len(streams))
	for k, stream := range streams {
		alone[k], tallies[k] = record(t, link.Binary, cut(stream, len(stream), 0))
	}
	random := rand.New(rand.NewPCG(7, 7))
	for range 20 {
		s := newStage(t, on("a"), on("b"), on("c"))
		left := [][]byte{arc.stream, wire.stream, gas.stream}
		for len(left[0])+len(left[1])+len(left[2]) > 0 {
			k := random.IntN(len(left))
			n := min(len(left[k]), 1+random.IntN(400))
			s.saysBytes(k, left[k][:n])
			left[k] = left[k][n:]
		}
		m := s.end()
		require.NoError(t, s.err)
		m.boxOf(t)
		for k := range streams {
			want, got := numbered(alone[k].of(0)), numbered(m.of(k))
			require.True(t, slices.Equal(want.samples, got.samples), "box %d", k)
			require.Equal(t, want.other, got.other, "box %d", k)
			require.ElementsMatch(t, want.events, got.events, "box %d", k)
			require.Equal(t, tallies[k].Damaged, s.tally[k].Damaged)
		}
	}
}

// of returns what a sink was given of one box.
func (m *memory) of(box int) *memory {
	one := &memory{}
	for _, b := range m.blocks {
		if b.Box == box {
			one.blocks = append(one.blocks, b)
		}
	}
	for _, e := range m.events {
		if e.Box == box {
			one.events = append(one.events, e)
		}
	}
	return one
}

// numbered returns samples and events under epochs that are counted from 0, as those of box 0.
func numbered(m *memory) (all struct {
	samples []sample
	other   []series.Block
	events  []series.Event
},
) {
	epochs := map[int]int{}
	number := func(epoch int) int {
		if _, ok := epochs[epoch]; !ok {
			epochs[epoch] = len(epochs)
		}
		return epochs[epoch]
	}
	for k := range m.blocks {
		m.blocks[k].Epoch, m.blocks[k].Box = number(m.blocks[k].Epoch), 0
		if m.blocks[k].Kind != series.Arc {
			all.other = append(all.other, m.blocks[k])
		}
	}
	all.samples = m.samples()
	for _, e := range m.events {
		e.Epoch, e.Box = number(e.Epoch), 0
		if e.Kind != series.Damaged { // how many of them there are depends on the reads
			all.events = append(all.events, e)
		}
	}
	return all
}

// A companion that cannot be read is an event, told once for each cause, and is asked again.
func TestRecordBoxes_ACompanionThatFailsEndsNothing(t *testing.T) {
	s := newStage(t, on("a"), on("b"))
	lost := errors.New("cable cut")
	for range 2 {
		s.act(1, func(acquire.Listener) error { return lost })
	}
	arc := newBox(t)
	arc.hello(described())
	arc.arc(1)
	s.says(0, arc)
	gas := newBox(t)
	gas.hello(companionSource())
	gas.slow(0, 14)
	s.says(1, gas)
	m := s.end()
	require.NoError(t, s.err)
	assert.Equal(t, []series.EventKind{series.Failed, series.Heard}, m.kinds(1))
	assert.Equal(t, "the box on b: cable cut", m.events1(t, series.Failed).Text)
	assert.Len(t, m.samples(), samples)
}

// Bytes that make no frame end the recording of the arc, and of a companion nothing.
func TestRecordBoxes_WrongLink(t *testing.T) {
	s := newStage(t, on("a"), on("b"))
	for range 3 {
		s.saysBytes(1, garbage(5000))
	}
	gas := newBox(t)
	gas.stream = []byte{0}
	gas.hello(companionSource())
	s.says(1, gas)
	s.saysBytes(0, garbage(5000))
	<-s.ended
	var e *acquire.Error
	require.ErrorAs(t, s.err, &e)
	assert.Equal(t, acquire.NoFrames, e.Kind)
	failed := s.sink.memory.events1(t, series.Failed).Text
	assert.Contains(t, failed, "the box on b: no valid frame of the binary link in 5000 bytes")
	assert.Contains(t, failed, "; is the baud rate or the link wrong?")
	assert.Equal(t, 1, s.sink.memory.events1(t, series.Heard).Box)
}

func TestRecordBoxes_TheArcEndsTheRecording(t *testing.T) {
	s := newStage(t, on("a"), on("b"))
	lost := errors.New("cable cut")
	s.act(0, func(acquire.Listener) error { return lost })
	<-s.ended
	assert.Equal(t, lost, s.err)

	quietLine, otherEnd := io.Pipe()
	defer func() { require.NoError(t, otherEnd.Close()) }()
	arc := newBox(t)
	arc.hello(described())
	arc.arc(1)
	first, err := acquire.NewLine(cut(arc.stream, len(arc.stream), 0), link.Binary, nil)
	require.NoError(t, err)
	second := acquire.Box{Talker: closing{quietLine}, Source: on("b")}
	tallies, err := acquire.RecordBoxes(t.Context(), []acquire.Box{first, second}, acquire.Config{})
	require.NoError(t, err)
	assert.EqualValues(t, samples, tallies[0].Samples)
}

// closing is a talker that says nothing until it is to end.
type closing struct{ *io.PipeReader }

func (c closing) Talk(ctx context.Context, _ acquire.Listener) error {
	context.AfterFunc(ctx, func() { _ = c.Close() })
	_, err := c.Read(make([]byte, 1))
	return err
}

func TestRecordBoxes_ASinkThatFailsEndsAll(t *testing.T) {
	for failing := range 2 {
		s := newStage(t, on("a"), on("b"))
		s.sink.memory.failAt, s.sink.memory.failure = 1, errors.New("disk is full")
		b := newBox(t)
		b.hello(described())
		s.says(failing, b)
		<-s.ended
		assert.Equal(t, s.sink.memory.failure, s.err)
		assert.Len(t, s.sink.memory.calls, 1)
	}
}

// A silence is told after ten seconds without a frame; that of the box of the arc only
// where it was never heard.
func TestRecordBoxes_Silence(t *testing.T) {
	s := newStage(t, on("a"), on("b"), on("c"))
	arc, gas := newBox(t), newBox(t)
	arc.hello(described())
	gas.hello(companionSource())
	s.says(0, arc)
	s.says(1, gas)
	s.seconds(9)
	gas.slow(0, 14)
	s.says(1, gas)
	s.seconds(1)
	require.Eventually(t, func() bool { return s.sink.has("silent") }, time.Minute, time.Millisecond)
	s.seconds(30)
	gas.slow(0, 15)
	s.says(1, gas)
	m := s.end()
	require.NoError(t, s.err)
	assert.Empty(t, m.kinds(0))
	assert.Equal(t, []series.EventKind{series.Silent, series.Heard}, m.kinds(1))
	assert.Equal(t, []series.EventKind{series.Silent}, m.kinds(2))
	for _, e := range m.events {
		if e.Kind == series.Silent {
			want := map[int]string{1: "nothing was heard of the box on b for 10 s", 2: "nothing was heard of the box on c in the first 10 s"}
			assert.Equal(t, want[e.Box], e.Text)
		}
	}
}

// A line that is gone was told: its silence is not told again, until it is back.
func TestRecordBoxes_SilenceOfALineThatIsGone(t *testing.T) {
	s := newStage(t, on("a"), on("b"))
	gas := newBox(t)
	gas.hello(companionSource())
	s.says(1, gas)
	line := func(kind series.EventKind) {
		s.act(1, func(to acquire.Listener) error { to.Line(series.Event{Kind: kind, Text: "it is"}); return nil })
	}
	line(series.Unplugged)
	s.seconds(30)
	line(series.Replugged)
	s.seconds(10)
	m := s.end()
	assert.Equal(t, []series.EventKind{series.Unplugged, series.Replugged, series.Silent}, m.kinds(1))
	assert.Equal(t, []series.EventKind{series.Silent}, m.kinds(0), "never heard: the alarm of the arc")
}

// Boxes that speak all at once, from goroutines of their own.
func TestRecordBoxes_AllAtOnce(t *testing.T) {
	s := newStage(t, on("a"), on("b"), on("c"))
	var speaking sync.WaitGroup
	for k := range s.actors {
		b := newBox(t)
		b.hello(described())
		b.arc(400)
		stream := b.stream
		speaking.Go(func() {
			for len(stream) > 0 {
				n := min(len(stream), 777)
				s.saysBytes(k, stream[:n])
				stream = stream[n:]
			}
		})
	}
	speaking.Wait()
	m := s.end()
	m.boxOf(t)
	for k := range s.actors {
		assert.Len(t, m.of(k).samples(), 400*samples)
	}
}

// That a scale is assumed is told where a sample stands on it, and not before.
func TestRecordBoxes_NothingIsAssumedOfASilentBox(t *testing.T) {
	s := newStage(t, on("a"))
	s.seconds(10)
	require.Eventually(t, func() bool { return s.sink.has("silent") }, time.Minute, time.Millisecond)
	b := newBox(t)
	b.hello(described())
	b.arc(1)
	s.says(0, b)
	m := s.end()
	assert.Equal(t, []string{"source", "silent", "heard", "source", "arc"}, m.calls)

	s = newStage(t, on("a"))
	s.act(0, func(to acquire.Listener) error {
		to.Line(series.Event{Kind: series.Unplugged, Text: "it is"})
		return nil
	})
	b = newBox(t)
	b.arc(1)
	s.says(0, b)
	m = s.end()
	assert.Equal(t, []string{"source", "unplugged", "remark", "arc"}, m.calls)
}
