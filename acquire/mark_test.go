package acquire_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/acquiretest"
	"arctally/acquire/link"
	"arctally/acquire/series"
)

// turning is a box with so many counts in a turn.
func turning(t *testing.T, perTurn float64) *box {
	s := described()
	s.CountsPerTurn = perTurn
	b := newBox(t)
	b.hello(s)
	return b
}

// marks returns the counts at which the torch was said to stand at the mark.
func marks(t *testing.T, b *box) (counts []int64, texts []string) {
	t.Helper()
	m, _ := recordAll(t, b)
	for _, e := range m.events {
		if e.Kind == series.Index {
			counts, texts = append(counts, e.Count), append(texts, e.Text)
		}
	}
	return counts, texts
}

// The flag is that of the last count of a frame, and its event comes before the
// block that holds it, with the samples before it handed out.
func TestRecord_TheMarkIsTold(t *testing.T) {
	b := turning(t, 36)
	b.arc(1)
	b.turn(5, 6)
	b.atMark(7, 8, 9)
	b.arc(1)
	m, _ := recordAll(t, b)
	assert.Equal(t, []string{"source", "turn", "arc", "index", "turn", "arc"}, m.calls)
	tick := int64(samples*step + 2*step)
	assert.Equal(t, series.Event{
		Kind: series.Index, Tick: tick, Until: tick, Count: 9, Text: "the torch stood at the reference mark, where count 9 begins",
	}, m.events1(t, series.Index))
	assert.Equal(t, []int64{7, 8, 9}, m.blocks[2].Count)
	assert.True(t, m.blocks[2].AtMark)
}

// Whole turns from the one told are known already, on either side of it.
func TestRecord_TheMarkIsToldOnce(t *testing.T) {
	for perTurn, counts := range map[float64][]int32{
		1: {4, 5, 6, 5, -3}, 36: {9, 45, 81, 9, -27}, 360: {0, 360, -720}, 1000.3: {17, 1017, 2018, 100047},
		36000: {0, 36099, 71901}, // switches close within a degree
	} {
		b := turning(t, perTurn)
		for _, c := range counts {
			b.turn(c - 1)
			b.atMark(c)
		}
		told, _ := marks(t, b)
		assert.Equal(t, []int64{int64(counts[0])}, told, "%g counts", perTurn)
	}
}

// A counter that slips is told of when the mark next comes, with how much; from then
// on whole turns count from there, so that one slip is one event.
func TestRecord_ASlipIsTold(t *testing.T) {
	b := turning(t, 360)
	for _, c := range []int32{10, 370, 731, 1091, 1351, 1711} {
		b.turn(c - 1)
		b.atMark(c)
	}
	told, texts := marks(t, b)
	assert.Equal(t, []int64{10, 731, 1351}, told)
	assert.Equal(t, "the torch stood at the reference mark, where count 731 begins, +1 counts from a whole number of turns after count 10: the counter slipped, or began anew", texts[1])
	assert.Contains(t, texts[2], "-100 counts from a whole number of turns after count 731")

	b = turning(t, 36000)
	b.atMark(0)
	b.atMark(36060) // less than a degree at a time, and a degree in the end
	b.atMark(72120)
	told, _ = marks(t, b)
	assert.Equal(t, []int64{0, 72120}, told)
}

// Clockwise the torch comes to the mark with the count that begins there,
// anti-clockwise with the one below.
func TestRecord_TheMarkFromEitherSide(t *testing.T) {
	b := turning(t, 36)
	b.turn(35)
	b.atMark(36)
	b.turn(40, 37, 36)
	b.atMark(35) // over the same edge
	told, _ := marks(t, b)
	assert.Equal(t, []int64{36}, told)
	b.turn(36, 71)
	b.atMark(36 + 36 - 1) // one count short of a turn
	told, _ = marks(t, b)
	assert.Equal(t, []int64{36, 71}, told)

	b = turning(t, 8)
	b.turn(3)
	b.atMark(2)
	b.turn(1, 0, -4)
	b.atMark(-6)
	told, _ = marks(t, b)
	assert.Equal(t, []int64{3}, told, "anti-clockwise only")
}

// Of the first count of all nobody knows which way it came: the next one shows.
func TestRecord_TheMarkAtTheFirstCount(t *testing.T) {
	for next, want := range map[int32][]int64{6: {5}, 4: {5, 6}, 5: {5}} {
		b := turning(t, 1)
		b.atMark(5)
		b.head.TickUS += 7000
		b.atMark(next)
		b.head.TickUS += 7000
		b.atMark(next)
		m, _ := recordAll(t, b)
		told, texts := marks(t, b)
		assert.Equal(t, want, told)
		for k, e := range m.events {
			assert.Zero(t, e.Tick, "%d: %s", k, texts[k])
		}
	}
	b := turning(t, 36)
	b.atMark(5)
	b.turn(6, 4)
	b.turn(3)
	told, _ := marks(t, b)
	assert.Equal(t, []int64{5}, told, "it turned back later")
}

// Counts of two epochs have nothing in common, nor counts of two scales. While
// nobody says how many counts a turn has, nothing can be said to slip.
func TestRecord_TheMarkIsToldAnew(t *testing.T) {
	b := turning(t, 36)
	b.atMark(9)
	b.reboot()
	b.atMark(9)
	told, _ := marks(t, b)
	assert.Equal(t, []int64{9, 9}, told, "another boot")

	m := &memory{}
	_, err := acquiretest.Record(context.Background(), cut(b.stream, 7, 0), acquiretest.Config{Link: link.Binary, Epoch: 4, Sinks: []series.Sink{m}})
	require.NoError(t, err)
	assert.Equal(t, 4, m.events[0].Epoch)
	assert.Equal(t, 5, m.events[2].Epoch)

	b = newBox(t)
	b.atMark(5)
	b.atMark(11)
	b.hello(described())
	b.atMark(12)
	told, _ = marks(t, b)
	assert.Equal(t, []int64{5, 12}, told, "first without a HELLO, then with another number of counts")
}
