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
type mark struct {
	heard  bool
	newest int64 // of all counts
	way    int64 // +1 where the newest is above the one before it, -1 below, 0 not known

	told    bool
	count   int64 // at the mark, the one last told
	toldWay int64
}

// hear takes the counts of a block, and returns the event of the last of them
// where that stood at the mark. The first is told, and one that is no whole number
// of turns from the one last told: after a slip the counts before it and those
// after it stand at different angles. All others say what is known already.
func (m *mark) hear(b *series.Block, perTurn float64) (e series.Event, tell bool) {
	for _, count := range b.Count {
		m.follow(count)
	}
	if !b.AtMark {
		return e, false
	}
	text := fmt.Sprintf("the torch stood at the reference mark at count %d", m.newest)
	if m.told {
		over := beyondTurns(m.newest-m.count, perTurn)
		if !m.slipped(over, perTurn) {
			return e, false
		}
		text += fmt.Sprintf(", %+.4g counts from a whole number of turns after count %d: the counter slipped, or began anew", over, m.count)
	}
	m.told, m.count, m.toldWay = true, m.newest, m.way
	tick := b.At(b.Len() - 1)
	return series.Event{Kind: series.Index, Tick: tick, Until: tick, Count: m.count, Text: text}, true
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

// slipped judges so many counts beyond whole turns. A torch that turns back stands
// at the same angle one count lower or higher: the edge of a count is passed
// upwards to the one and downwards to the other.
func (m *mark) slipped(over, perTurn float64) bool {
	least := max(1, markScatter*perTurn)
	if m.way != m.toldWay {
		least++
	}
	return math.Abs(over) >= least
}

// beyondTurns returns the counts that are left of whole turns, the shorter way
// round; none where nobody said how many counts a turn has.
func beyondTurns(counts int64, perTurn float64) float64 {
	if perTurn <= 0 {
		return 0
	}
	return math.Remainder(float64(counts), perTurn)
}

// hearMark tells of a count at the mark before the block that holds it goes out.
func (r *recorder) hearMark(b *series.Block) {
	if e, ok := r.mark.hear(b, r.source.CountsPerTurn); ok {
		r.event(e)
	}
}
