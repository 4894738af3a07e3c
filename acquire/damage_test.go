package acquire_test

import (
	"context"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire"
	"arctally/acquire/link"
	"arctally/acquire/series"
)

// damaged writes a frame of samples with one byte changed.
func (b *box) damaged() {
	before := len(b.stream)
	b.arc(1)
	b.stream[before+30] ^= 0x55
	if b.stream[before+30] == 0 {
		b.stream[before+30] = 1
	}
}

func TestRecord_Damaged(t *testing.T) {
	b := newBox(t)
	b.hello(described())
	b.arc(1)
	b.damaged()
	b.arc(1)
	m, tally := recordAll(t, b)
	assert.Equal(t, int64(1), tally.Damaged)
	assert.Equal(t, int64(1), tally.Lost, "its sequence number is missing")
	e := m.events1(t, series.Damaged)
	assert.Equal(t, int64(1), e.Count)
	assert.Equal(t, int64(samples-1)*step, e.Tick)
	assert.Contains(t, e.Text, "bytes lost")
}

// However much is damaged, one event a second tells of it, and none is forgotten.
func TestRecord_DamageIsToldOnceASecond(t *testing.T) {
	b := newBox(t)
	p := cut(nil, 1, 0)
	b.hello(described())
	for range 100 {
		b.damaged()
		b.arc(1)
		p.left = append(p.left, piece{slices.Clone(b.stream), 50 * time.Millisecond})
		b.stream = b.stream[:0]
	}
	m, tally := record(t, link.Binary, p)
	assert.Equal(t, int64(100), tally.Damaged)
	events, count := 0, int64(0)
	for _, e := range m.events {
		if e.Kind == series.Damaged {
			events++
			count += e.Count
		}
	}
	assert.Equal(t, int64(100), count)
	assert.Equal(t, 6, events, "5 s of damage, and what was left at the end")
}

// Whoever comes while a frame is under way gets its tail: that is no damage.
func TestRecord_JoinsInTheMiddleOfAFrame(t *testing.T) {
	b := newBox(t)
	b.arc(3)
	b.stream = b.stream[20:]
	m, tally := recordAll(t, b)
	assert.Zero(t, tally.Damaged)
	assert.Zero(t, tally.Lost)
	assert.Equal(t, []string{"source", "remark", "arc"}, m.calls)
}

func TestRecord_NoFrames(t *testing.T) {
	for _, c := range []struct {
		id    string
		link  string
		reads *pieces
		fails bool
	}{
		{"garbage", link.Binary, cut(garbage(5000), 100, time.Millisecond), true},
		{"garbage on a text link", link.Delimited, cut(garbage(5000), 100, time.Millisecond), true},
		{"garbage that trickles", link.Binary, cut(garbage(500), 5, 50*time.Millisecond), true},
		{"a little garbage", link.Binary, cut(garbage(500), 100, time.Millisecond), false},
		{"a word now and then", link.Binary, cut(garbage(50), 10, 10*time.Second), false},
		{"nothing", link.Binary, cut(nil, 1, 0), false},
	} {
		t.Run(c.id, func(t *testing.T) {
			m := &memory{}
			_, err := acquire.Record(context.Background(), c.reads, acquire.Config{
				Link: c.link, Now: func() time.Time { return c.reads.now }, Sinks: []series.Sink{m},
			})
			assert.Empty(t, m.calls)
			if !c.fails {
				assert.NoError(t, err)
				return
			}
			var e *acquire.Error
			require.ErrorAs(t, err, &e)
			assert.Equal(t, acquire.NoFrames, e.Kind)
			assert.Equal(t, c.link, e.Link)
			assert.Contains(t, e.Hint(), "baud")
			assert.LessOrEqual(t, e.Bytes, int64(4200))
		})
	}
}

// A link of the other kind is as wrong as another baud rate.
func TestRecord_WrongLink(t *testing.T) {
	b := newBox(t)
	b.arc(100)
	_, err := acquire.Record(context.Background(), cut(b.stream, 500, 0), acquire.Config{Link: link.LineProtocol})
	var e *acquire.Error
	require.ErrorAs(t, err, &e)
	assert.Equal(t, acquire.NoFrames, e.Kind)
}

// A link that has proved itself is not given up again.
func TestRecord_GarbageAfterFrames(t *testing.T) {
	b := newBox(t)
	b.hello(described())
	b.arc(1)
	b.stream = append(b.stream, garbage(20_000)...)
	b.stream = append(b.stream, 0)
	b.arc(1)
	m, tally := recordAll(t, b)
	assert.Greater(t, tally.Damaged, int64(100))
	assert.Equal(t, tally.Damaged, m.events1(t, series.Damaged).Count)
	assert.Len(t, m.samples(), 2*samples)
}

// watched is a reader that can lose its line, as a port can.
type watched struct {
	*pieces
	tell func(series.Event)
}

func (w *watched) Watch(f func(series.Event)) { w.tell = f }

func TestRecord_Unplugged(t *testing.T) {
	b := newBox(t)
	b.hello(described())
	b.arc(2)
	before := slices.Clone(b.stream[:len(b.stream)-10]) // cut in its last frame
	b.stream = nil
	b.loseArc(3)
	b.arc(2)
	w := &watched{pieces: cut(nil, 1, 0)}
	w.left = []piece{{bytes: before}, {bytes: b.stream[40:]}} // joined in a frame
	reads := 0
	w.at = func() {
		if reads++; reads == 2 {
			w.tell(series.Event{Kind: series.Unplugged, Count: 1, Text: "away"})
			w.tell(series.Event{Kind: series.Replugged, Count: 1, Text: "back"})
		}
	}
	m := &memory{}
	tally, err := acquire.Record(context.Background(), w, acquire.Config{Link: link.Binary, Sinks: []series.Sink{m}})
	require.NoError(t, err)
	assert.Equal(t, []string{"source", "arc", "unplugged", "replugged", "gap", "break arc"}, m.calls)
	assert.Equal(t, int64(samples-1)*step, m.events1(t, series.Unplugged).Tick)
	assert.Equal(t, int64(5), tally.Lost)
	assert.Zero(t, tally.Damaged, "both halves of frames are the fault of the plug")
}
