package acquire_test

import (
	"context"
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire"
	"arctally/acquire/acquiretest"
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
	at := len(b.stream)
	b.damaged()
	b.arc(1)
	m, tally := recordAll(t, b)
	assert.Equal(t, int64(1), tally.Damaged)
	assert.Equal(t, int64(1), tally.Lost, "its sequence number is missing")
	e := m.events1(t, series.Damaged)
	assert.Equal(t, int64(1), e.Count)
	assert.Equal(t, int64(samples-1)*step, e.Tick)
	assert.Equal(t, fmt.Sprintf("failed the check: 1 frame, the first: link: 154 bytes lost at offset %d: not COBS", at), e.Text)
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
	var counts []int64
	for _, e := range m.events {
		if e.Kind == series.Damaged {
			counts = append(counts, e.Count)
		}
	}
	assert.Equal(t, []int64{1, 20, 20, 20, 20, 19}, counts, "the first at once, then each second, and what was left at the end")
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
		bytes int64  // after which it is given up; 0 is not at all
		first string // the first damage
	}{
		{"garbage", link.Binary, cut(garbage(5000), 64, time.Millisecond), 4096, "3 bytes lost at offset 0: .*"},
		{"garbage on a text link", link.Delimited, cut(garbage(5000), 64, time.Millisecond), 4096, "4096 bytes lost at offset 0: .*"},
		// 250 ms apart from the second read on: the 13th is at 3 s.
		{"garbage that trickles", link.Binary, cut(garbage(500), 5, 250*time.Millisecond), 65, "3 bytes lost at offset 0: .*"},
		{"pauses count for no more", link.Binary, cut(garbage(500), 5, time.Hour), 65, "3 bytes lost at offset 0: .*"},
		{"a little garbage", link.Binary, cut(garbage(500), 100, time.Millisecond), 0, ""},
		{"a word now and then", link.Binary, cut(garbage(50), 10, 10*time.Second), 0, ""},
		{"nothing", link.Binary, cut(nil, 1, 0), 0, ""},
	} {
		t.Run(c.id, func(t *testing.T) {
			m := &memory{}
			_, err := acquiretest.Record(context.Background(), c.reads, acquiretest.Config{
				Link: c.link, Now: func() time.Time { return c.reads.now }, Sinks: []series.Sink{m},
			})
			assert.Empty(t, m.calls)
			if c.bytes == 0 {
				assert.NoError(t, err)
				return
			}
			var e *acquire.Error
			require.ErrorAs(t, err, &e)
			assert.Equal(t, acquire.NoFrames, e.Kind)
			assert.Equal(t, c.link, e.Link)
			assert.Contains(t, e.Hint(), "baud")
			assert.Equal(t, c.bytes, e.Bytes)
			assert.Regexp(t, fmt.Sprintf("^no valid frame of the %s link in %d bytes: link: %s$", c.link, c.bytes, c.first), e.Error())
		})
	}
}

// A link of the other kind is as wrong as another baud rate.
func TestRecord_WrongLink(t *testing.T) {
	b := newBox(t)
	b.arc(100)
	_, err := acquiretest.Record(context.Background(), cut(b.stream, 500, 0), acquiretest.Config{Link: link.LineProtocol})
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
	tally, err := acquiretest.Record(context.Background(), w, acquiretest.Config{Link: link.Binary, Sinks: []series.Sink{m}})
	require.NoError(t, err)
	assert.Equal(t, []string{"source", "arc", "unplugged", "replugged", "gap", "break arc"}, m.calls)
	assert.Equal(t, int64(samples-1)*step, m.events1(t, series.Unplugged).Tick)
	assert.Equal(t, int64(5), tally.Lost)
	assert.Zero(t, tally.Damaged, "both halves of frames are the fault of the plug")
}
