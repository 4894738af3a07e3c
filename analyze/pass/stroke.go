package pass

import (
	"math"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
)

// backlash is how far, in turns, the count may fall back without the torch
// having turned round. Ours: two counts of a degree each, and the play of the
// drive; no source.
const backlash = 3.0 / 360

// headway follows which way the torch goes in a stroke, and how far it came.
type headway struct {
	way      float64 // +1 clockwise, -1 anti-clockwise, 0 not seen yet
	furthest float64 // turns
}

// further reports whether the torch has gone on.
func (h *headway) further(turns float64) bool {
	gone := turns - h.furthest
	switch {
	case h.way != 0:
	case gone >= backlash:
		h.way = 1
	case gone <= -backlash:
		h.way = -1
	}
	if gone*h.way <= 0 {
		return false
	}
	h.furthest = turns
	return true
}

// back reports whether the torch has turned round.
func (h *headway) back(turns float64) bool { return (h.furthest-turns)*h.way >= backlash }

// followStroke parts strokes at the angle where the torch turned round with the
// arc burning. What it burned while it stood there belongs to the next stroke.
func (s *Splitter) followStroke(b *Bucket) {
	further := s.headway.further(b.Turns)
	switch {
	case !s.arc.Lit(): // the arc went out, and the torch may have turned back since
	case further:
		s.close(b)
	case s.closed.set && s.headway.back(b.Turns):
		s.part(b, math.Abs(b.Turns-s.closed.at.Turns))
	}
}

// turnedCold ends a stroke when the torch turns round without arc.
func (s *Splitter) turnedCold(tick int64) {
	if s.current == nil || s.arc.Lit() || !s.layers.countedStroke() {
		return
	}
	turns := s.torch.Dial(tick)
	s.headway.further(turns)
	if s.headway.back(turns) && !s.arc.Open() {
		s.endPass(s.soFar())
	}
}

// countedStroke reports whether the pass is a stroke whose turns are counted.
func (l *layers) countedStroke() bool { return l.stroked() && l.counted }

// beyond reports whether the torch, at a number of turns, has gone past the end of
// a stroke.
func (l *layers) beyond(at float64) bool {
	return l.countedStroke() && l.perLayer > 0 && l.turned(at) > l.need+l.tolerance()
}

// nextStroke finds the segment and the number of the stroke that begins.
func (l *layers) nextStroke(turns float64, c *Course) {
	if l.counted {
		l.goTo(bore.Nearest(l.segments, l.angle(turns)), c)
	} else if l.segment = l.unfilled(); l.segment < 0 {
		l.nextLayer()
		l.segment = 0
	}
	l.need = float64(l.segments[l.segment].Width()) / 360
}

// goTo goes on in the segment where the torch stands, and tells by the strokes
// that are laid whether that begins a layer. A torch that has laid two strokes in
// a row in one segment fills one after the other: when it comes back to one, the
// layer is over.
func (l *layers) goTo(segment int, c *Course) {
	here, stayed := l.strokes[segment], segment == l.segment
	missing, untouched := 0, false
	for _, n := range l.strokes {
		missing += max(0, int(l.perLayer)-n)
		untouched = untouched || n == 0
	}
	l.segment = segment
	switch {
	case here >= int(l.perLayer) && untouched:
		c.Extra = true
	case here >= int(l.perLayer), here > 0 && !stayed && l.inTurn:
		c.Missing = missing
		l.nextLayer()
	case here > 0 && stayed:
		l.inTurn = true
	}
}

// against reports whether a pass went back where the pattern has a cold return.
func (l *layers) against(stopped float64) bool {
	l.returned = false
	if l.job.Deposit.Pattern != bore.SegmentOneWay || !l.counted || stopped == l.begun {
		return false
	}
	way := math.Copysign(1, stopped-l.begun)
	if l.way == 0 {
		l.way = way
	}
	l.returned = way != l.way
	return l.returned
}

// unfilled returns the first segment that lacks strokes, -1 where none does.
func (l *layers) unfilled() int {
	for k, n := range l.strokes {
		if n < int(l.perLayer) {
			return k
		}
	}
	return -1
}

// planned is the angle of a stroke whose turns are declared, which are those since
// it began: a reversing pattern lays every other stroke anti-clockwise.
func (l *layers) planned(turns float64) quantity.Degrees {
	s, turned := l.segments[l.segment], quantity.Degrees(turns)*360
	if l.job.Deposit.Pattern == bore.SegmentReversing && l.strokes[l.segment]%2 == 1 {
		return s.From + s.Width() - turned
	}
	return s.From + turned
}
