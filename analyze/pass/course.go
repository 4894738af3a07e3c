package pass

import (
	"math"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
)

// State tells how a pass ended, held against what its pattern plans; the words
// stand in records and reports.
type State string

// The states of a pass; an empty one is not known.
const (
	Complete    State = "complete"    // it went as far as the plan has it
	Interrupted State = "interrupted" // the arc ended before that, and stayed out
	Cut         State = "cut"         // the samples end while the arc burns: nobody knows
)

// Course says how a pass stands in the order that the pattern plans. It holds
// what the signals tell: turns, and which way. How deep the torch stands is
// never measured, so a ring that is welded twice at one depth, or one that was
// stepped over, shows only in the number of rings.
type Course struct {
	State   State
	Planned float64 // turns that this pass had to go; 0 is not known
	Turned  float64 // turns that it went
	// Resumes is the number of the pass that this one goes on with, and Repeats
	// of the one that it goes over again, from its beginning; 0 is none.
	Resumes, Repeats int
	// Off is how far ahead of where the other pass stopped this one began, in its
	// direction: what is above 0 was left out, what is below was welded over. It
	// is nil where there is no other, or the turns are not counted.
	Off *quantity.Degrees
	// Missing is the number of strokes that the plan has before this one and that
	// were not laid.
	Missing int
	// Extra is set where the segment had all its strokes already.
	Extra bool
	// Against is set where the arc burned on the way back of a one-way pattern. It
	// is no stroke of the plan.
	Against bool
}

// Restart is how many degrees from where a pass stopped the next one may begin
// and still goes on with it without a hole. Ours; common practice, no source.
const Restart = 15

// unfinished is a pass that stopped short of its plan.
type unfinished struct {
	number         int     // of the pass; 0 is none
	began, stopped float64 // turns
	need           float64 // turns that it had to go
	done           float64 // of the layer, before it
	counted        bool
	unsure         float64 // expanded uncertainty of the turns that it went
}

// begin sets the layer of a pass that begins at a number of turns, counted or not.
func (l *layers) begin(turns float64, counted bool) (c Course) {
	l.begun, l.counted, l.unsure = turns, counted, 0
	if l.number == 0 {
		return c
	}
	if !l.goesOn(turns, &c) {
		l.next(turns, &c)
	}
	l.open = unfinished{}
	c.Planned = l.need
	return c
}

// goesOn reports whether a pass goes on with, or over, the one that stopped short.
//
// A torch that was turned back to where that one began goes over it again; but a
// one-way stroke always begins there. One that stands on its way goes on with it.
// Anything else is the next ring or stroke; a helix has no next one, and goes on
// wherever the torch stands.
func (l *layers) goesOn(turns float64, c *Course) bool {
	const near = Restart / 360.0
	u := l.open
	switch {
	case u.number == 0:
		return false
	case !u.counted || !l.counted:
		return l.goesOnUncounted(c)
	}
	laid := math.Abs(u.stopped - u.began)
	gone := (turns - u.began) * math.Copysign(1, u.stopped-u.began)
	switch {
	case l.stroked() && gone >= u.need-near:
		return false
	case math.Abs(gone-laid) <= near:
	case math.Abs(gone) <= near:
		return l.again(c, quantity.Degrees((gone-laid)*360))
	case l.job.Deposit.Pattern == bore.Helix:
	case l.job.Deposit.Pattern == bore.Rings:
		gone -= math.Floor(gone) // a ring may also be reached by going round once more
		if gone <= near || gone >= u.need-near {
			return false
		}
	case gone < 0:
		return false
	}
	c.Resumes, c.Off = u.number, new(quantity.Degrees((gone-laid)*360))
	l.need, l.unsure = u.need-laid, u.unsure
	if l.job.Deposit.Pattern != bore.Helix {
		l.undo(u)
	}
	return true
}

// goesOnUncounted reports whether a pass goes on with the last one where only
// the declared rotation tells the turns: a helix does, and of rings and strokes
// nobody knows.
func (l *layers) goesOnUncounted(c *Course) bool {
	if l.job.Deposit.Pattern != bore.Helix {
		return false
	}
	c.Resumes, l.need = l.open.number, l.perLayer-l.done
	return true
}

// again begins the pass that stopped short anew.
func (l *layers) again(c *Course, off quantity.Degrees) bool {
	if l.job.Deposit.Pattern == bore.SegmentOneWay {
		return false
	}
	c.Repeats, c.Off, l.need = l.open.number, &off, l.open.need
	l.undo(l.open)
	return true
}

// undo takes a pass that is gone on with, or over, out of the count.
func (l *layers) undo(u unfinished) {
	l.full = false
	if l.stroked() {
		l.strokes[l.segment]--
		return
	}
	l.done = u.done
}

// finish tells how the pass that ends stands to its plan; cut is set where the
// samples end while the arc burns. Where its turns are not known well enough to tell, its
// state is not known.
func (l *layers) finish(p *Pass, stopped float64, cut bool, uncertainty float64) {
	c := &p.Course
	if l.number == 0 || c.Planned == 0 {
		return
	}
	c.Turned, c.State = l.turned(stopped), Complete
	if c.Against = l.against(stopped); c.Against {
		return
	}
	left := l.left(stopped) - l.tolerance()
	if left <= 0 {
		return
	}
	uncertainty = math.Hypot(uncertainty, l.unsure)
	if left <= uncertainty && !cut {
		c.State = ""
		return
	}
	c.State = Interrupted
	if cut {
		c.State = Cut
	}
	l.open = unfinished{number: p.Number, began: l.begun, stopped: stopped, need: l.need, done: l.done, counted: l.counted, unsure: uncertainty}
}

// tolerance is by how many turns a pass may stop short and be complete.
func (l *layers) tolerance() float64 {
	if l.job.Deposit.Pattern == bore.Helix {
		return l.slack(l.perLayer)
	}
	t := min(ringSpare/360.0, l.need/4)
	if !l.counted {
		t = max(t, declaredSlack*l.need)
	}
	return t
}
