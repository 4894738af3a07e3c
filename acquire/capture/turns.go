package capture

import (
	"fmt"
	"math"

	"arctally/acquire/series"
)

// mostAxes is how many columns a position may have.
const mostAxes = 3

// positionChannels are the channels of its axes.
var positionChannels = [mostAxes]string{"position_x", "position_y", "position_z"}

// mostCount is how far counts of turns may go: beyond it a float64 loses single ones.
const mostCount = 1 << 53

// countTurns makes turn counts of the column of turns, so that no digit is lost: with d
// decimals and the factor f,
//
//	counts per turn = 10^d / |f|       count = sign(f) * turns * 10^d
func (m *measure) countTurns(f *found) {
	if !m.turns.given() {
		return
	}
	d := m.turnDigits.decimals
	for d > 0 && m.turnDigits.largest*float64(powers[d]) > mostCount {
		d--
	}
	if d < m.turnDigits.decimals {
		f.notes = append(f.notes, fmt.Sprintf("the turns are kept to %d decimals of what was written", d))
	}
	f.turnDecimals, f.turnsBack = d, m.turns.factor.mantissa < 0
	f.source.CountsPerTurn = float64(powers[d]) / math.Abs(m.turns.factor.value())
}

// count returns the turn count that a number of turns is.
func (f *found) count(turns number) int64 {
	if f.turnsBack {
		return -turns.at(f.turnDecimals)
	}
	return turns.at(f.turnDecimals)
}

// countsApart is the time in ns between two turn counts at least: a row has one each,
// and 10 kHz of them tell nothing more of a torch.
const countsApart = 5_000_000

// turnCounts makes blocks of turn counts: those that differ from the one before, and the
// last one before them where the torch stood.
type turnCounts struct {
	block series.Block
	began bool
	epoch int
	tick  int64 // of the last count that was taken
	count int64
	left  struct { // the last one that was not
		any         bool
		tick, count int64
	}
}

func (t *turnCounts) add(epoch int, tick, count int64) {
	switch {
	case !t.began || epoch != t.epoch:
		t.began, t.epoch = true, epoch
		t.take(tick, count)
	case tick <= t.tick || t.left.any && tick <= t.left.tick:
		// it stands before the latest: the counts there are already taken
	case count == t.count, tick-t.tick < countsApart:
		t.left.any, t.left.tick, t.left.count = true, tick, count
	default:
		if t.left.any && t.left.count == t.count {
			t.rest()
		}
		t.take(tick, count)
	}
}

// rest takes what was left.
func (t *turnCounts) rest() {
	if t.left.any {
		t.take(t.left.tick, t.left.count)
	}
}

func (t *turnCounts) take(tick, count int64) {
	b := &t.block
	if len(b.Count) == 0 {
		b.Kind, b.Epoch, b.Tick = series.Turn, t.epoch, tick
	}
	b.Ticks, b.Count = append(b.Ticks, tick), append(b.Count, count)
	t.tick, t.count, t.left.any = tick, count, false
}

// flush hands on what was taken.
func (t *turnCounts) flush(sink series.Sink) error {
	b := &t.block
	if len(b.Count) == 0 {
		return nil
	}
	err := sink.Block(b)
	b.Ticks, b.Count = b.Ticks[:0], b.Count[:0]
	return err
}
