package acquire_test

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire"
	"arctally/acquire/acquiretest"
	"arctally/acquire/link"
	"arctally/acquire/series"
)

func TestRecord_JoinsFramesThatContinue(t *testing.T) {
	b := newBox(t)
	b.hello(described())
	b.arc(20)
	m, tally := recordAll(t, b)
	require.Equal(t, []string{"source", "arc"}, m.calls)
	assert.Equal(t, described(), m.sources[0])
	assert.Equal(t, 20*samples, m.blocks[0].Len())
	assert.Equal(t, int64(step), m.blocks[0].Step)
	for k, s := range m.samples() {
		require.Equal(t, sample{0, false, int64(k) * step, int32(k), int32(-k)}, s)
	}
	assert.Equal(t, acquire.Tally{Bytes: int64(len(b.stream)), Frames: 21, Epochs: 1, Samples: 20 * samples}, tally)
}

// A block holds 100 ms and 4096 samples at most.
func TestRecord_BlocksAreBounded(t *testing.T) {
	b := newBox(t)
	b.hello(described())
	b.arc(100)
	m, _ := recordAll(t, b)
	for _, block := range m.blocks {
		assert.LessOrEqual(t, int64(block.Len())*step, int64(100*time.Millisecond))
	}
	assert.Len(t, m.samples(), 100*samples)

	b = newBox(t)
	b.head.StepUS = 1
	b.hello(described())
	for range 400 {
		b.arc(1)
		b.head.TickUS -= samples*stepUS - samples
	}
	m, _ = recordAll(t, b)
	for _, block := range m.blocks[:3] {
		assert.Equal(t, 4096, block.Len(), "128 frames of 32")
	}
	assert.Len(t, m.samples(), 400*samples)
}

func TestRecord_EveryReadIsHandedOut(t *testing.T) {
	b := newBox(t)
	b.hello(described())
	b.arc(1)
	p := cut(b.stream, len(b.stream), 0)
	m := &memory{}
	reads := 0
	p.at = func() {
		if reads++; reads == 2 {
			assert.Len(t, m.samples(), samples, "before the second read")
		}
	}
	_, err := acquiretest.Record(context.Background(), p, acquiretest.Config{Link: link.Binary, Sinks: []series.Sink{m}})
	require.NoError(t, err)
	assert.Equal(t, 2, reads)
}

func TestRecord_Gap(t *testing.T) {
	b := newBox(t)
	b.hello(described())
	b.arc(2)
	b.loseArc(3)
	b.arc(2)
	m, tally := recordAll(t, b)
	assert.Equal(t, []string{"source", "arc", "gap", "break arc"}, m.calls)
	e := m.events1(t, series.Gap)
	assert.Equal(t, int64(2*samples-1)*step, e.Tick, "the last sample before")
	assert.Equal(t, int64(5*samples)*step, e.Until, "the first sample after")
	assert.Equal(t, int64(3), e.Count)
	assert.Equal(t, "missing: 3 frames", e.Text)
	assert.Equal(t, int64(3), tally.Lost)
	assert.Equal(t, int64(1), tally.Gaps)
}

// The frame that shows the loss may carry no samples: the gap ends at the next
// that does.
func TestRecord_GapBeforeAnotherFrame(t *testing.T) {
	b := newBox(t)
	b.hello(described())
	b.arc(1)
	b.loseArc(1)
	b.turn(5)
	b.loseArc(2)
	b.slow(2, 14)
	b.arc(1)
	m, tally := recordAll(t, b)
	e := m.events1(t, series.Gap)
	assert.Equal(t, int64(samples-1)*step, e.Tick)
	assert.Equal(t, int64(4*samples)*step, e.Until)
	assert.Equal(t, int64(3), e.Count)
	assert.Equal(t, int64(2), tally.Gaps)
	assert.Equal(t, "break arc", m.calls[len(m.calls)-1])
}

func TestRecord_GapAtTheEnd(t *testing.T) {
	b := newBox(t)
	b.hello(described())
	b.arc(1)
	b.loseArc(1)
	b.hello(described())
	m, _ := recordAll(t, b)
	assert.Equal(t, int64(1), m.events1(t, series.Gap).Count)
}

func TestRecord_GapBeforeSums(t *testing.T) {
	b := newBox(t)
	b.hello(described())
	b.sums()
	b.loseArc(1)
	b.sums()
	m, tally := recordAll(t, b)
	assert.Equal(t, []string{"source", "sums", "gap", "break sums"}, m.calls)
	e := m.events1(t, series.Gap)
	assert.Equal(t, int64(samples)*step, e.Tick, "the end of the window before")
	assert.Equal(t, int64(2*samples)*step, e.Until)
	assert.Equal(t, int64(2), tally.Windows)
}

// A window within the one before it is refused: its time is not counted twice, and
// what it left out is named.
func TestRecord_WindowsThatOverlap(t *testing.T) {
	b := newBox(t)
	b.hello(described())
	b.sums()
	b.head.TickUS -= stepUS
	b.sums()
	b.head.TickUS += stepUS
	b.sums()
	m, tally := recordAll(t, b)
	assert.Equal(t, []string{"source", "sums", "gap", "break sums", "damaged"}, m.calls)
	assert.Contains(t, m.events1(t, series.Damaged).Text, "value is out of range: window from 3100 us: the one before it goes on to 3200 us")
	assert.Equal(t, int64(1), m.events1(t, series.Gap).Count)
	assert.Equal(t, int64(2), tally.Windows)
	assert.Equal(t, int64(1), tally.Damaged)
}

func TestRecord_SequenceWraps(t *testing.T) {
	b := newBox(t)
	b.head.Seq = 1<<32 - 2
	b.hello(described())
	b.arc(3)
	m, tally := recordAll(t, b)
	assert.Equal(t, []string{"source", "arc"}, m.calls)
	assert.Zero(t, tally.Lost)
}

func TestRecord_Reboot(t *testing.T) {
	b := newBox(t)
	b.hello(described())
	b.arc(3)
	b.reboot()
	b.hello(described())
	b.arc(2)
	m, tally := recordAll(t, b)
	assert.Equal(t, []string{"source", "arc", "reboot", "break arc"}, m.calls)
	e := m.events1(t, series.Reboot)
	assert.Equal(t, 1, e.Epoch)
	assert.Equal(t, "the box started again: boot 7 after 6", e.Text)
	assert.Equal(t, int64(1), e.Count)
	assert.Equal(t, 0, m.blocks[0].Epoch)
	assert.Equal(t, 1, m.blocks[1].Epoch)
	assert.Equal(t, int64(2), tally.Epochs)
	assert.Zero(t, tally.Lost)
}

// Frames that begin at one tick overlap, and a step in whole microseconds makes
// them do so a little all the time: only a tick before the last one is a step back.
func TestRecord_OneTickTwiceIsNoStepBack(t *testing.T) {
	for back, epochs := range map[uint64]int64{0: 1, 1: 2} {
		b := newBox(t)
		b.head.TickUS = 1000
		b.hello(described())
		b.arc(1)
		b.head.TickUS = 1000 - back
		b.arc(1)
		_, tally := recordAll(t, b)
		assert.Equal(t, epochs, tally.Epochs, "%d us back", back)
	}
}

// Windows that come before the samples of another kind are no step back: each kind
// has its own order.
func TestRecord_WindowsAndSamplesHaveOrdersOfTheirOwn(t *testing.T) {
	b := newBox(t)
	b.hello(described())
	b.sums()
	b.arc(1)
	b.head.TickUS = samples * stepUS
	b.sums()
	_, tally := recordAll(t, b)
	assert.Equal(t, int64(1), tally.Epochs)
}

// A box that does not keep its boot id begins to count again.
func TestRecord_RebootUnderTheSameID(t *testing.T) {
	b := newBox(t)
	b.hello(described())
	b.arc(100)
	b.head = link.Header{Boot: 6, StepUS: stepUS}
	b.hello(described())
	b.arc(1)
	m, tally := recordAll(t, b)
	assert.Equal(t, 1, m.events1(t, series.Reboot).Epoch)
	assert.Equal(t, "the box counts its frames anew, from 0, within boot 6", m.events1(t, series.Reboot).Text)
	assert.Equal(t, int64(2), tally.Epochs)
	assert.Zero(t, tally.Repeated)
}

func TestRecord_ClockGoesBack(t *testing.T) {
	b := newBox(t)
	b.hello(described())
	b.arc(5)
	b.head.TickUS = 0
	b.arc(2)
	m, tally := recordAll(t, b)
	assert.Equal(t, []string{"source", "arc", "clock-back", "break arc"}, m.calls)
	assert.Equal(t, series.Event{Kind: series.ClockBack, Epoch: 1, Count: 1, Text: "the clock of the box went back"}, m.events1(t, series.ClockBack))
	assert.Equal(t, 1, m.blocks[1].Epoch)
	assert.Equal(t, int64(2), tally.Epochs)
}

// What came twice is recorded twice, marked, and nothing is joined to it.
func TestRecord_Repeated(t *testing.T) {
	b := newBox(t)
	b.hello(described())
	b.arc(2)
	b.repeatLast(func() { b.arc(1) })
	b.arc(2)
	m, tally := recordAll(t, b)
	assert.Equal(t, []string{"source", "arc", "clock-back", "break arc", "break arc"}, m.calls)
	assert.Equal(t, "frame 3 came again", m.events1(t, series.ClockBack).Text)
	assert.Equal(t, m.blocks[0].V[2*samples:], m.blocks[1].V)
	assert.Equal(t, m.blocks[0].At(2*samples), m.blocks[1].Tick)
	assert.Equal(t, 0, m.blocks[2].Epoch)
	assert.Equal(t, int64(1), tally.Repeated)
	assert.Equal(t, int64(6*samples), tally.Samples)
	assert.Zero(t, tally.Lost)
}

func TestRecord_OverrunIsOneEventAStretch(t *testing.T) {
	b := newBox(t)
	b.hello(described())
	b.arc(1)
	for range 3 {
		b.head.TickUS += 500
		b.head.Overrun = true
		b.arc(1)
		b.turn(1) // says nothing of the samples, and does not end the stretch
	}
	b.arc(1)
	m, tally := recordAll(t, b)
	e := m.events1(t, series.Overrun)
	assert.Equal(t, int64(3), e.Count)
	assert.Equal(t, "the box lost samples before it could send them: 3 frames", e.Text)
	assert.Equal(t, int64(samples-1)*step, e.Tick, "the last sample before")
	assert.Equal(t, int64(3*samples)*step+3*500_000, e.Until, "the first sample after the last")
	assert.Equal(t, int64(3), tally.Overruns)
	breaks := 0
	for _, s := range m.samples() {
		if s.begin {
			breaks++
		}
	}
	assert.Equal(t, 3, breaks)
}

func TestRecord_ClippedIsOneEventAStretch(t *testing.T) {
	b := newBox(t)
	b.hello(described())
	b.arc(1)
	for range 4 {
		b.head.Clipped = true
		b.arc(1)
	}
	b.arc(1)
	b.head.Clipped = true
	b.arc(1)
	m, tally := recordAll(t, b)
	assert.Equal(t, []string{"source", "arc", "clipped", "arc", "clipped"}, m.calls, "the second ends with the stream")
	assert.Equal(t, int64(samples)*step, m.events[0].Tick)
	assert.Equal(t, int64(5*samples-1)*step, m.events[0].Until)
	assert.Equal(t, int64(4), m.events[0].Count)
	assert.Equal(t, "a channel stood at its end stop: 4 frames", m.events[0].Text)
	assert.Equal(t, "a channel stood at its end stop: 1 frame", m.events[1].Text)
	assert.Equal(t, int64(5), tally.Clipped)
	for _, s := range m.samples() {
		assert.False(t, s.begin, "clipped samples follow one another")
	}
}

func TestRecord_DefaultSource(t *testing.T) {
	b := newBox(t)
	b.arc(2)
	b.hello(described())
	b.arc(2)
	b.hello(described())
	b.arc(1)
	m, _ := recordAll(t, b)
	assert.Equal(t, []string{"source", "remark", "arc", "source", "arc"}, m.calls)
	assert.Equal(t, link.DefaultSource(link.Binary), m.sources[0])
	assert.True(t, m.sources[0].Assumed)
	assert.Contains(t, m.events1(t, series.Remark).Text, "assumed")
	assert.Equal(t, described(), m.sources[1])
}

func TestRecord_SourceChanges(t *testing.T) {
	b := newBox(t)
	b.hello(described())
	b.arc(1)
	changed := described()
	changed.Channels[1].Scale = 4e-2
	b.hello(changed)
	b.arc(1)
	m, _ := recordAll(t, b)
	assert.Equal(t, []string{"source", "arc", "source", "arc"}, m.calls)
	assert.Equal(t, 4e-2, m.sources[1].Channels[1].Scale)
}

func TestRecord_OtherBlocks(t *testing.T) {
	b := newBox(t)
	b.hello(described())
	b.turn(7)
	b.slow(2, 14.5)
	m, _ := recordAll(t, b)
	require.Equal(t, []string{"source", "turn", "slow"}, m.calls)
	assert.Equal(t, []int64{7}, m.blocks[0].Count)
	assert.Equal(t, []float64{14.5}, m.blocks[1].Value)
}

func TestRecord_FirstEpochIsGiven(t *testing.T) {
	b := newBox(t)
	b.hello(described())
	b.arc(1)
	b.reboot()
	b.arc(1)
	m := &memory{}
	_, err := acquiretest.Record(context.Background(), cut(b.stream, 50, 0), acquiretest.Config{Link: link.Binary, Epoch: 4, Sinks: []series.Sink{m}})
	require.NoError(t, err)
	assert.Equal(t, 4, m.blocks[0].Epoch)
	assert.Equal(t, 5, m.blocks[1].Epoch)
}

// However the stream comes divided, the same is recorded: only the borders of
// blocks may differ.
func TestRecord_AnyDivisionGivesTheSame(t *testing.T) {
	b := newBox(t)
	b.arc(3)
	b.hello(described())
	b.arc(5)
	b.loseArc(2)
	b.arc(1)
	b.repeatLast(func() { b.arc(1) })
	b.stream = append(b.stream, "noise\x00"...)
	b.head.Clipped = true
	b.arc(2)
	b.head.Overrun = true
	b.arc(1)
	b.turn(3)
	b.atMark(4, 5)
	b.reboot()
	b.atMark(0)
	b.arc(4)

	whole, tally := recordAll(t, b)
	require.Len(t, whole.samples(), 18*samples)
	random := rand.New(rand.NewPCG(1, 1))
	for size := 1; size < len(b.stream); size += 1 + random.IntN(size+10) {
		m, other := record(t, link.Binary, cut(b.stream, size, 0))
		require.Equal(t, tally, other, "pieces of %d bytes", size)
		require.Equal(t, whole.samples(), m.samples(), "pieces of %d bytes", size)
		require.ElementsMatch(t, whole.events, m.events, "pieces of %d bytes", size)
		require.Equal(t, whole.sources, m.sources, "pieces of %d bytes", size)
	}
}

func TestRecord_SinkFails(t *testing.T) {
	full := errors.New("disk is full")
	b := newBox(t)
	b.hello(described())
	b.arc(1)
	b.loseArc(1)
	b.arc(1)
	for failAt := 1; failAt <= 4; failAt++ {
		first, second := &memory{failAt: failAt, failure: full}, &memory{}
		p := cut(b.stream, len(b.stream), 0)
		p.left = append(p.left, piece{bytes: b.stream})
		_, err := acquiretest.Record(context.Background(), p, acquiretest.Config{Link: link.Binary, Sinks: []series.Sink{first, second}})
		assert.Equal(t, full, err)
		assert.Len(t, first.calls, failAt, "nothing after the failure")
		assert.Len(t, second.calls, failAt-1)
	}
}

func TestRecord_ReaderFails(t *testing.T) {
	b := newBox(t)
	b.hello(described())
	b.arc(1)
	m := &memory{}
	lost := errors.New("cable cut")
	reader := io.MultiReader(cut(b.stream, len(b.stream), 0), failing{lost})
	tally, err := acquiretest.Record(context.Background(), reader, acquiretest.Config{Link: link.Binary, Sinks: []series.Sink{m}})
	assert.ErrorIs(t, err, lost)
	var e *acquire.Error
	require.ErrorAs(t, err, &e)
	assert.Equal(t, acquire.ReadFailed, e.Kind)
	assert.Equal(t, fmt.Sprintf("reading the binary link failed after %d bytes: cable cut", len(b.stream)), e.Error())
	assert.Equal(t, "check the cable and the supply of the sensor box (\"arctally links\" says who speaks), then record again", e.Hint())
	assert.Equal(t, int64(samples), tally.Samples)
	assert.Len(t, m.samples(), samples)
}

type failing struct{ err error }

func (f failing) Read([]byte) (int, error) { return 0, f.err }

func TestRecord_ReaderThatGivesNothing(t *testing.T) {
	_, err := acquiretest.Record(context.Background(), failing{}, acquiretest.Config{Link: link.Binary})
	assert.ErrorIs(t, err, io.ErrNoProgress)
}

func TestRecord_ContextEnds(t *testing.T) {
	b := newBox(t)
	b.hello(described())
	b.arc(10)
	ctx, cancel := context.WithCancel(context.Background())
	p := cut(b.stream, 50, 0)
	reads := 0
	p.at = func() {
		if reads++; reads == 5 {
			cancel()
		}
	}
	m := &memory{}
	tally, err := acquiretest.Record(ctx, p, acquiretest.Config{Link: link.Binary, Sinks: []series.Sink{m}})
	require.NoError(t, err)
	assert.Equal(t, 5, reads)
	assert.Len(t, m.samples(), int(tally.Samples))
}

func TestRecord_UnknownLink(t *testing.T) {
	_, err := acquiretest.Record(context.Background(), failing{}, acquiretest.Config{Link: "morse"})
	assert.ErrorContains(t, err, "morse")
}
