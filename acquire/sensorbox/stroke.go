package sensorbox

import (
	"cmp"
	"math"
	"slices"
)

// stroked tells whether the pattern is laid in strokes over segments.
func (p Plan) stroked() bool { return p.Pattern == SegmentReversing || p.Pattern == SegmentOneWay }

// segment is what lies between two gaps, in degrees clockwise from the start angle.
type segment struct{ from, to float64 }

// segments returns what the gaps leave to weld, clockwise from the start angle; a
// full turn where there is none.
func (p Plan) segments() []segment {
	gaps := slices.Clone(p.Gaps)
	ahead := func(g Gap) float64 { return wrap(float64(g.From - p.StartAngle)) }
	slices.SortFunc(gaps, func(a, b Gap) int { return cmp.Compare(ahead(a), ahead(b)) })
	var found []segment
	from := 0.0
	for _, g := range gaps {
		found = append(found, segment{from, ahead(g)})
		from = ahead(g) + wrap(float64(g.To-g.From))
	}
	if from < 360-angleHair {
		found = append(found, segment{from, 360})
	}
	return found
}

// validateStrokes checks what strokes ask for besides.
func (p Plan) validateStrokes() error {
	if !p.stroked() {
		return nil
	}
	if p.RotationSpeed < 0 {
		return flaw("RotationSpeed", "%g turns/s: the first stroke goes clockwise", p.RotationSpeed)
	}
	begins := len(p.Gaps) == 0
	for _, g := range p.Gaps {
		begins = begins || wrap(float64(g.To-p.StartAngle)) == 0
	}
	if !begins {
		return flaw("StartAngle", "%g degrees is not where a segment begins", p.StartAngle)
	}
	return nil
}

// stroke is the segment and the way of one pass.
type stroke struct {
	segment
	way float64 // +1 clockwise
}

// stroke returns the stroke of the present pass. Strokes fill one segment over the
// length of the bore, then the next.
func (t *torch) stroke() stroke {
	k := (t.pass - 1) % t.plan.perLayer()
	s := stroke{t.segments[k/t.plan.rings()], 1}
	if t.plan.Pattern == SegmentReversing && t.ring()%2 == 1 {
		s.way = -1
	}
	return s
}

// begin returns where the stroke begins, in degrees from the start angle.
func (s stroke) begin() float64 {
	if s.way < 0 {
		return s.to
	}
	return s.from
}

// goTo turns the torch without arc towards an angle, and reports whether it is
// there.
func (t *torch) goTo(begin float64) bool {
	step := math.Abs(float64(t.plan.RotationSpeed)) * coldShare * 360 * controlTime
	left := begin - t.turnedAll
	t.turnedAll += min(max(left, -step), step)
	return t.turnedAll == begin
}
