package now

import (
	"math"

	"arctally/acquire/quantity"
	"arctally/analyze/pass"
)

// marksPerTurn is the grain of it: 5 degrees.
const marksPerTurn = 72

// mark is what a pass has summed up to at one place.
type mark struct {
	turned float64 // how far the torch is from where the pass began
	burned float64 // turns in arc intervals
	burn   int64   // ns of arc intervals
	arc    int64   // ns in arc
	energy float64 // W*ns
}

// lastTurn remembers the last turn of the pass under way, however slowly the torch
// turns. It is a pass.Listener.
type lastTurn struct {
	start, last float64 // turns
	now         mark
	marks       [marksPerTurn + 1]mark
	count       int // of marks since the pass began
}

// Begin implements pass.Listener.
func (t *lastTurn) Begin(_ *pass.Pass, at pass.Position) {
	t.start, t.last = at.Turns, at.Turns
	t.now, t.marks[0], t.count = mark{}, mark{}, 1
}

// Resume implements pass.Listener.
func (t *lastTurn) Resume(_, to pass.Position, _ quantity.Seconds) {
	t.last, t.now.turned = to.Turns, math.Abs(to.Turns-t.start)
}

// Burn implements pass.Listener.
func (t *lastTurn) Burn(b *pass.Bucket) {
	n := &t.now
	n.burned += math.Abs(b.Turns - t.last)
	n.burn += b.End - b.Start - b.Missing
	n.arc += b.Arc + b.Partial
	n.energy += b.Energy
	n.turned, t.last = math.Abs(b.Turns-t.start), b.Turns
	if n.turned >= t.marks[(t.count-1)%len(t.marks)].turned+1.0/marksPerTurn {
		t.marks[t.count%len(t.marks)] = *n
		t.count++
	}
}

// Rest implements pass.Listener.
func (t *lastTurn) Rest(pass.Position) {}

// End implements pass.Listener.
func (t *lastTurn) End(*pass.Pass) {}

// over returns what was added over the last turns, or over what there is of them.
func (t *lastTurn) over(turns float64) mark {
	from := mark{}
	for k := t.count - 1; k >= max(0, t.count-len(t.marks)); k-- {
		if from = t.marks[k%len(t.marks)]; from.turned <= t.now.turned-turns {
			break
		}
	}
	n := t.now
	return mark{n.turned - from.turned, n.burned - from.burned, n.burn - from.burn, n.arc - from.arc, n.energy - from.energy}
}

// power returns the mean power over the arc time of the last whole turn, and the
// turns that it is taken over; false where there was no arc.
func (t *lastTurn) power() (p quantity.Watts, turns float64, known bool) {
	m := t.over(1)
	if m.arc <= 0 {
		return 0, 0, false
	}
	return quantity.Watts(m.energy / float64(m.arc)), m.turned, true
}

// present is the part of a turn over which the rotation is taken as the present
// one: a count of a degree is 2 % of it. Ours; no source.
const present = 1.0 / 8

// rotation returns the present rotation by the turns in arc intervals.
func (t *lastTurn) rotation() (n quantity.TurnsPerSecond, known bool) {
	m := t.over(present)
	if m.burn <= 0 || m.burned <= 0 {
		return 0, false
	}
	return quantity.TurnsPerSecond(m.burned / (float64(m.burn) * 1e-9)), true
}
