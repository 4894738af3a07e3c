package acquire

import (
	"context"
	"io"
	"math"
	"testing"
	"time"
	"unsafe"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/clock"
	"arctally/acquire/link"
	"arctally/acquire/series"
)

var noon = time.Date(2026, 11, 27, 12, 0, 0, 0, time.UTC)

// wire is a line that is read and written to. A box answers on it, or does not.
type wire struct {
	io.Reader
	wrote chan []byte
	begun chan struct{} // hears of a write that is held up
	stuck chan struct{} // closed where a write comes to its end; nil does not hold any
}

func (w *wire) Write(p []byte) (int, error) {
	if w.stuck != nil {
		w.begun <- struct{}{}
		<-w.stuck
	}
	w.wrote <- append([]byte(nil), p...)
	return len(p), nil
}

// nonceOf is that of the question in bytes that were written.
func nonceOf(t *testing.T, p []byte) uint32 {
	decoder, err := link.New(link.Binary)
	require.NoError(t, err)
	var nonce *uint32
	decoder.Decode(p, func(r *link.Reading, err error) {
		require.NoError(t, err)
		require.NotNil(t, r.Ping)
		require.Nil(t, nonce, "one question at a time")
		nonce = new(r.Ping.Nonce)
	})
	require.NotNil(t, nonce)
	return *nonce
}

func TestPinger(t *testing.T) {
	now := noon
	p := newPinger(&wire{}, func() time.Time { return now })
	frame := func() { p.hear(&link.Reading{}) }
	answer := func(nonce uint32) time.Time {
		r := link.Reading{Pong: &link.Pong{Nonce: nonce}}
		p.hear(&r)
		return r.Asked
	}
	_, ask := p.next()
	require.False(t, ask, "before the first frame: what is there may be starting up")
	frame()
	first, ask := p.next()
	require.True(t, ask)
	_, ask = p.next()
	require.False(t, ask, "no frame since the last question")

	now = noon.Add(10 * time.Millisecond)
	assert.Zero(t, answer(first.Nonce+1), "of somebody else")
	assert.Equal(t, noon, answer(first.Nonce), "when it was sent, not when it was answered")
	assert.Zero(t, answer(first.Nonce), "a second time")

	frame()
	second, _ := p.next()
	frame()
	third, _ := p.next()
	require.NotEqual(t, second.Nonce, third.Nonce)
	assert.Zero(t, answer(second.Nonce), "late: the next one was sent")
	assert.Equal(t, now, answer(third.Nonce))

	for k := range unanswered {
		frame()
		_, ask = p.next()
		require.True(t, ask, k)
	}
	frame()
	_, ask = p.next()
	require.False(t, ask, "it cannot hear")
	p.anew()
	_, ask = p.next()
	require.False(t, ask, "another box may be on the line, and may be starting up")
	frame()
	_, ask = p.next()
	require.True(t, ask)
	assert.Nil(t, newPinger(io.MultiReader(), nil), "a line that takes nothing")
}

// told is a sink that keeps events and fits.
type told struct {
	events []series.Event
	fits   []clock.Fit
}

func (*told) Source(series.Source) error { return nil }
func (*told) Block(*series.Block) error  { return nil }
func (s *told) Event(e series.Event) error {
	s.events = append(s.events, e)
	return nil
}

func (s *told) Clock(f clock.Fit) error {
	s.fits = append(s.fits, f)
	return nil
}

func (s *told) of(kind series.EventKind) (found []series.Event) {
	for _, e := range s.events {
		if e.Kind == kind {
			found = append(found, e)
		}
	}
	return found
}

// A box answers each question 2 ms after it was sent, and its frames come 1 ms late: its
// host times are known to within 1 ms, which goes on record.
func TestRecorder_roundTripsGoOnRecord(t *testing.T) {
	sink := &told{}
	e := newEnsemble([]Box{{Source: link.DefaultSource(link.Binary)}}, Config{Sinks: []series.Sink{sink}}, func() {})
	to := listener{e.recorders[0]}
	e.recorders[0].announced = true
	for k := range int64(300) {
		at := noon.Add(time.Duration(k) * time.Second)
		pong := &link.Reading{Tick: k * 1e9, Pong: &link.Pong{Tick: k * 1e9}, Asked: at.Add(-time.Millisecond), Seq: uint32(k), HasSeq: true}
		to.Heard(at.Add(time.Millisecond), pong, nil)
		to.Through(at.Add(time.Millisecond), 40)
	}
	last := sink.fits[len(sink.fits)-1]
	assert.Equal(t, noon.Add(299*time.Second), last.Wall, "the middle of the round trip")
	offsets := sink.of(series.Offset)
	require.NotEmpty(t, offsets)
	assert.Less(t, len(offsets), 12, "told anew where it has changed by much")
	assert.Equal(t, int64(math.Round(1e6+0.1e6+5e15/299e9)), int64(last.Uncertainty))
	assert.InEpsilon(t, float64(last.Uncertainty), float64(offsets[len(offsets)-1].Count), 0.45)
	assert.Contains(t, offsets[0].Text, "round trips bound the host times of the clock of box 0 to +-")
	assert.Empty(t, sink.of(series.ClockRate))
}

// A clock that is 5000 ppm off is told of once, as soon as that is sure, and again in
// its next epoch.
func TestRecorder_clampGoesOnRecord(t *testing.T) {
	for _, ppm := range []float64{5000, -5000} {
		sink := &told{}
		e := newEnsemble([]Box{{Source: link.DefaultSource(link.Binary)}}, Config{Sinks: []series.Sink{sink}}, func() {})
		to := listener{e.recorders[0]}
		e.recorders[0].announced = true
		for boot := range uint16(2) {
			for k := range int64(200) {
				at := noon.Add(time.Duration(int64(boot)*200+k) * time.Second)
				to.Heard(at, &link.Reading{Boot: boot, Tick: int64(float64(k) * 1e9 * (1 + ppm*1e-6)), Seq: uint32(k), HasSeq: true}, nil)
				to.Through(at, 40)
			}
		}
		rates := sink.of(series.ClockRate)
		require.Len(t, rates, 2)
		assert.Equal(t, int64(ppm), rates[0].Count)
		assert.Equal(t, rates[0].Epoch+1, rates[1].Epoch)
		way := map[bool]string{true: "fast", false: "slow"}[ppm > 0]
		assert.Equal(t, "the clock of box 0 runs 5000 ppm "+way+" by the host's: energy on its ticks is wrong by as much", rates[0].Text)
		assert.Empty(t, sink.of(series.Offset))
	}
}

// The host's clock is set back by an hour between the first frames of two boxes: both go
// by the host time of the first.
func TestRecorder_oneOriginForAllBoxes(t *testing.T) {
	sink := &told{}
	box := Box{Source: link.DefaultSource(link.Binary)}
	e := newEnsemble([]Box{box, box}, Config{Sinks: []series.Sink{sink}}, func() {})
	e.recorders[0].announced, e.recorders[1].announced = true, true
	real := time.Now() // with a monotonic reading
	say := func(box int, at time.Time) {
		listener{e.recorders[box]}.Heard(at, &link.Reading{Tick: 5e9}, nil)
		listener{e.recorders[box]}.Through(at, 40)
	}
	say(0, real)
	later := setBack(real.Add(time.Second))
	require.InDelta(t, -3599, later.Round(0).Sub(real.Round(0)).Seconds(), 1e-3, "by the wall")
	say(1, later)
	require.Len(t, sink.fits, 2)
	assert.Equal(t, time.Second, sink.fits[1].Wall.Round(0).Sub(sink.fits[0].Wall.Round(0)))
}

// setBack is a moment as the host shows it after its clock was set back by an hour: how
// long it is after another moment has not changed. No function of the library makes one.
func setBack(at time.Time) time.Time {
	const nanosecondBits = 30 // of the first word; seconds of the wall clock above them
	*(*uint64)(unsafe.Pointer(&at)) -= 3600 << nanosecondBits
	return at
}

// A line that takes no byte holds up no reading, and no end.
func TestLine_blockedWriteHoldsUpNothing(t *testing.T) {
	in, box := io.Pipe()
	w := &wire{Reader: in, wrote: make(chan []byte, 2), begun: make(chan struct{}, 2), stuck: make(chan struct{})}
	b, err := NewLine(w, link.Binary, nil)
	require.NoError(t, err)
	l := b.Talker.(*line)
	l.asks()
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	ended := make(chan error, 1)
	heard := make(chan struct{}, 10)
	go func() { ended <- l.Talk(ctx, hears(heard)) }()
	frame := link.AppendSamples(nil, link.Header{StepUS: 100}, []int16{1}, []int16{2})
	_, err = box.Write(frame)
	require.NoError(t, err)
	<-heard
	<-w.begun // the question that comes a second later; its writing does not end
	for range 5 {
		_, err = box.Write(frame)
		require.NoError(t, err)
		<-heard
	}
	require.NoError(t, box.Close())
	require.NoError(t, <-ended)
	close(w.stuck)
	nonceOf(t, <-w.wrote)
}

// hears is a listener that tells of every reading.
type hears chan struct{}

func (h hears) Heard(time.Time, *link.Reading, error) { h <- struct{}{} }
func (hears) Through(time.Time, int)                  {}
func (hears) Line(series.Event)                       {}

// What the line sends back of ours is nothing that the box says; else its boot id would
// begin an epoch.
func TestLine_echoIsLeftAlone(t *testing.T) {
	b, err := NewLine(&wire{}, link.Binary, nil)
	require.NoError(t, err)
	l := b.Talker.(*line)
	heard := make(hears, 10)
	decoder, err := link.New(link.Binary)
	require.NoError(t, err)
	stream := link.AppendSamples(link.AppendPing(nil, 0, link.Ping{Nonce: 1}), link.Header{Boot: 3}, []int16{1}, []int16{2})
	decoder.Decode(stream, func(r *link.Reading, err error) { l.hear(heard, noon, r, err) })
	assert.Len(t, heard, 1)
}

// Nothing is asked on a text link, nor where one box alone is recorded.
func TestLine_whoIsAsked(t *testing.T) {
	for _, c := range []struct {
		link  string
		boxes int
		asked bool
	}{{link.Binary, 2, true}, {link.Binary, 1, false}, {link.Delimited, 2, false}} {
		var boxes []Box
		for range c.boxes {
			b, err := NewLine(&wire{Reader: eof{}}, c.link, nil)
			require.NoError(t, err)
			boxes = append(boxes, b)
		}
		_, err := RecordBoxes(t.Context(), boxes, Config{})
		require.NoError(t, err)
		assert.Equal(t, c.asked, boxes[0].Talker.(*line).ping != nil)
	}
}

type eof struct{}

func (eof) Read([]byte) (int, error) { return 0, io.EOF }
