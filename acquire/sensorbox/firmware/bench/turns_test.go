package bench_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/sensorbox/firmware/bench"
	"arctally/acquire/series"
)

// shaft is an encoder of 8 edges of A a turn, on the torch. Its index is closed for some
// counts of each turn.
type shaft struct {
	pins    []bench.Pin
	now     float64 // us
	quarter int     // quarters of a period of A and B, from the start
	edges   []edge
	reverse bool // clockwise is where the quarters fall
}

// edge is a count as it ought to be.
type edge struct {
	at    float64 // us
	count int64
	mark  bool
}

const (
	countsPerTurn = 8
	indexFrom     = 3 // the first count of a turn at which the index is closed, clockwise
	indexCounts   = 2
)

func count(quarter int) int { return (quarter + 1) >> 1 }

func closed(quarter int) bool {
	return (count(quarter)-indexFrom+100*countsPerTurn)%countsPerTurn < indexCounts
}

// turn moves the shaft by so many quarters, clockwise where they are positive.
func (s *shaft) turn(quarters int, each float64) {
	way := 1
	if quarters < 0 {
		way, quarters = -1, -quarters
	}
	for range quarters {
		s.now += each
		before := s.quarter
		s.quarter += way
		mark := closed(before) != closed(s.quarter)
		if mark {
			s.put(s.now-5, bench.Index, !closed(s.quarter))
		}
		phase := s.quarter & 3
		if count(before) == count(s.quarter) {
			s.put(s.now, bench.TurnB, phase < 2)
			continue
		}
		s.put(s.now, bench.TurnA, phase == 0 || phase == 3)
		e := edge{s.now, int64(count(s.quarter)), mark && closed(s.quarter) == (way > 0)}
		if s.reverse {
			e.count, e.mark = -e.count, mark && closed(s.quarter) == (way < 0)
		}
		s.edges = append(s.edges, e)
	}
}

func (s *shaft) put(at float64, bit int, high bool) {
	s.pins = append(s.pins, bench.Pin{At: at, Bit: bit, High: high})
}

// disturb is a pulse on A that is too short for a torch.
func (s *shaft) disturb() {
	s.now += 1000
	high := s.quarter&3 == 0 || s.quarter&3 == 3
	s.put(s.now, bench.TurnA, !high)
	s.put(s.now+0.5, bench.TurnA, high)
}

// turns are the counts that a box sent.
func (r *recorded) turns() (said []edge) {
	for _, b := range r.of(series.Turn) {
		for k := range b.Count {
			said = append(said, edge{float64(b.At(k))/1e3 + r.seen.Zeros[0], b.Count[k], b.AtMark && k == b.Len()-1})
		}
	}
	return said
}

// A torch is jogged to and fro, over its index and in between: counts go up and down, and
// each that is sent stands at its tick. Those at the mark are sent all, and flagged.
func TestTurns_bothWays(t *testing.T) {
	t.Run("forward", func(t *testing.T) {
		jog(t, shaft{}, indexFrom, "COUNTS_PER_TURN 3600", "COUNTS_PER_TURN 8")
	})
	t.Run("reverse", func(t *testing.T) {
		const last = indexFrom + indexCounts - 1 // is the first to which the torch comes clockwise
		jog(t, shaft{reverse: true}, -last, "COUNTS_PER_TURN 3600", "COUNTS_PER_TURN 8", "TURN_FORWARD 1", "TURN_FORWARD -1")
	})
}

// jog wants the mark told at its count, with what else is said of TestTurns_bothWays.
func jog(t *testing.T, s shaft, markBegins int64, changes ...string) {
	t.Helper()
	s.now = 50e3
	for _, move := range []int{-2, 72, -40, 3, -3, 1, -1, 1, -1, 30, -100} {
		s.turn(move, 1900)
		s.disturb()
		s.now += 60e3
	}
	r := record(t, bench.Script{
		Hex: bench.Build(t, changes...), Arc: bench.Silence(0.1), Pins: s.pins, Until: s.now + 50e3,
	})
	r.whole(t)
	wanted := 0
	for _, e := range s.edges {
		if e.mark {
			wanted++
		}
	}
	assert.Equal(t, wanted, r.countsAs(t, s))
	r.tellsMark(t, markBegins)
}

// countsAs wants each count that was sent to be one of the shaft, at its time, and the last
// to be the last; it returns how many came to the mark.
func (r *recorded) countsAs(t *testing.T, s shaft) (marks int) {
	t.Helper()
	said, at := r.turns(), 0
	for _, e := range said {
		for at < len(s.edges) && s.edges[at].at < e.at-30 {
			at++
		}
		require.Less(t, at, len(s.edges), "count %d that never was", e.count)
		assert.Equal(t, s.edges[at].count, e.count, "at %.0f us", e.at)
		assert.InDelta(t, s.edges[at].at, e.at, 30)
		assert.True(t, !e.mark || s.edges[at].mark, "count %d is not at the mark", e.count)
		if e.mark {
			marks++
		}
	}
	assert.Equal(t, s.edges[len(s.edges)-1].count, said[len(said)-1].count, "where it stands at last")
	return marks
}

// tellsMark wants the recorder to tell the mark once, as it begins at the same count either way.
func (r *recorded) tellsMark(t *testing.T, begins int64) {
	t.Helper()
	indexes := 0
	for _, e := range r.events {
		if e.Kind == series.Index {
			indexes++
			assert.Zero(t, (e.Count-begins)%countsPerTurn)
		}
	}
	assert.Equal(t, 1, indexes, "no slip is told")
}

// A torch that comes to the mark and goes again between two looks of the box is told rightly.
func TestTurns_quick(t *testing.T) {
	s := shaft{now: 30e3}
	s.turn(4, 5000) // to the count below the mark
	for k := range 12 {
		s.now += 45e3 + 1700*float64(k)
		s.turn(3, 400)
		s.turn(-3, 400)
	}
	hex := bench.Build(t, "COUNTS_PER_TURN 3600", "COUNTS_PER_TURN 8")
	r := record(t, bench.Script{Hex: hex, Arc: bench.Silence(0.1), Pins: s.pins, Until: s.now + 50e3})
	r.whole(t)
	assert.Greater(t, r.countsAs(t, s), 6)
	r.tellsMark(t, indexFrom)
}

// One switch cannot tell which way the torch turns: each closing counts up, however it
// bounces, and stands at the mark.
func TestTurns_oneSwitch(t *testing.T) {
	hex := bench.Build(t, "COUNTS_PER_TURN 3600", "COUNTS_PER_TURN 1", "TURN_HAS_DIRECTION 1", "TURN_HAS_DIRECTION 0")
	var pins []bench.Pin
	var closings []float64
	for turn := range 4 {
		closes := 100e3 + 200e3*float64(turn)
		closings = append(closings, closes)
		for _, at := range []float64{closes, closes + 90e3} {
			for bounce := range 7 {
				pins = append(pins, bench.Pin{At: at + 700*float64(bounce), Bit: bench.TurnA, High: (bounce%2 == 0) != (at == closes)})
			}
		}
	}
	r := record(t, bench.Script{Hex: hex, Arc: bench.Silence(0.1), Pins: pins, Until: 900e3})
	r.whole(t)
	said := r.turns()
	require.Len(t, said, len(closings))
	for k, e := range said {
		assert.Equal(t, int64(k+1), e.count)
		assert.InDelta(t, closings[k], e.at, 30)
		assert.True(t, e.mark)
	}
}

// The timer goes over its end each 32.768 ms, and a count that comes in that very moment
// stands at its tick all the same.
func TestTicks_whereTheTimerGoesOver(t *testing.T) {
	hex := bench.Build(t)
	still := bench.Script{Hex: hex, Arc: bench.Silence(0.1), Until: 20e3}
	r := record(t, still)
	start := r.seen.Zeros[0]
	s := shaft{}
	for k := range 24 {
		s.now = start + 32768*float64(k+1) - 13 + 0.7*float64(k)
		s.turn(1, 1)
		s.now += 10e3
		s.turn(1, 1)
	}
	r = record(t, bench.Script{Hex: hex, Arc: bench.Silence(0.1), Pins: s.pins, Until: s.now + 30e3})
	r.whole(t)
	said := r.turns()
	require.Len(t, said, len(s.edges))
	for k, e := range said {
		assert.InDelta(t, s.edges[k].at, e.at, 30, "count %d", e.count)
	}
}
