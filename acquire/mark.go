package acquire

import (
	"fmt"
	"math"

	"arctally/acquire/series"
)

// Two counts at the mark may differ from whole turns by less than this before the
// counter is said to have slipped: the switch does not close at the same angle
// each time. Ours, no source.
const markScatter = 1.0 / 360 // turns

// mark follows the counts that stood at the reference mark, since the epoch began
// or the box said that it counts otherwise.
//
// The torch comes to the mark clockwise with the count that begins there, and
// anti-clockwise with the one below: what is told is the one that begins there.
type mark struct {
	heard  bool
	newest int64 // of all counts
	way    int64 // +1 where the newest is above the one before it, -1 below, 0 not known

	told  bool
	count int64 // that begins at the mark, as last told
	tick  int64
	open  bool // told before anybody knew which way the torch turned
}

// hear takes the counts of a block, and returns what is to be told of the mark. The
// first count there is told, and one that is no whole number of turns from the one
// last told: after a slip the counts before it and those after it stand at different
// angles. All others say what is known already.
func (m *mark) hear(b *series.Block, perTurn float64) (tell []series.Event) {
	for _, count := range b.Count {
		m.follow(count)
		if m.open && m.way < 0 {
			m.count++
			tell = append(tell, m.event(", as the next count shows"))
		}
		m.open = m.open && m.way == 0
	}
	if !b.AtMark {
		return tell
	}
	begins := m.newest
	if m.way < 0 {
		begins++
	}
	slip := ""
	if m.told {
		over := beyondTurns(begins-m.count, perTurn)
		if math.Abs(over) < max(1, markScatter*perTurn) {
			return tell
		}
		slip = fmt.Sprintf(", %+.4g counts from a whole number of turns after count %d: the counter slipped, or began anew", over, m.count)
	}
	m.told, m.open, m.count, m.tick = true, m.way == 0, begins, b.At(b.Len()-1)
	return append(tell, m.event(slip))
}

func (m *mark) event(more string) series.Event {
	return series.Event{
		Kind: series.Index, Tick: m.tick, Until: m.tick, Count: m.count,
		Text: fmt.Sprintf("the torch stood at the reference mark, where count %d begins%s", m.count, more),
	}
}

func (m *mark) follow(count int64) {
	switch {
	case m.heard && count > m.newest:
		m.way = 1
	case m.heard && count < m.newest:
		m.way = -1
	}
	m.heard, m.newest = true, count
}

// beyondTurns returns the counts that are left of whole turns, the shorter way
// round; none where nobody said how many counts a turn has.
func beyondTurns(counts int64, perTurn float64) float64 {
	if perTurn <= 0 {
		return 0
	}
	return math.Remainder(float64(counts), perTurn)
}

// hearMark tells of a count at the mark, before the block that holds it goes out.
func (r *recorder) hearMark(b *series.Block) {
	for _, e := range r.mark.hear(b, r.source.CountsPerTurn) {
		r.event(e)
	}
}
