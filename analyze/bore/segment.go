package bore

import (
	"cmp"
	"math"
	"slices"

	"arctally/acquire/quantity"
)

// Segment is a range of angles that is welded, from From clockwise to To: what
// lies between two gaps.
type Segment struct{ From, To quantity.Degrees }

// Width returns the angle from From clockwise to To, above 0 and up to 360.
func (s Segment) Width() quantity.Degrees {
	if w := NormalAngle(s.To - s.From); w > 0 {
		return w
	}
	return fullTurn
}

// Off returns how far an angle lies outside the segment, 0 inside it.
func (s Segment) Off(angle quantity.Degrees) quantity.Degrees {
	if NormalAngle(angle-s.From) <= s.Width() {
		return 0
	}
	return min(NormalAngle(s.From-angle), NormalAngle(angle-s.To))
}

// Segments returns what the gaps leave to weld, clockwise, beginning with the
// segment that the start angle lies in, or the next one after it. Without gaps
// there is one segment, a full turn from the start angle. Gaps that touch leave
// nothing between them.
func (d Deposit) Segments(start quantity.Degrees) []Segment {
	gaps := slices.Clone(d.Gaps)
	if len(gaps) == 0 {
		return []Segment{{From: NormalAngle(start), To: NormalAngle(start)}}
	}
	slices.SortFunc(gaps, func(a, b Gap) int { return cmp.Compare(NormalAngle(a.From), NormalAngle(b.From)) })
	var found []Segment
	for k, g := range gaps {
		next := gaps[(k+1)%len(gaps)]
		s := Segment{From: NormalAngle(g.To), To: NormalAngle(next.From)}
		if len(gaps) == 1 || s.From != s.To {
			found = append(found, s)
		}
	}
	first := 0
	for k, s := range found {
		if s.ahead(start) < found[first].ahead(start) {
			first = k
		}
	}
	return append(found[first:len(found):len(found)], found[:first]...)
}

// ahead returns how far clockwise a start angle has to go to be in the segment.
func (s Segment) ahead(start quantity.Degrees) quantity.Degrees {
	if NormalAngle(start-s.From) < s.Width() {
		return 0
	}
	return NormalAngle(s.From - start)
}

// Nearest returns the index of the segment that an angle lies in or is nearest
// to; of two that are as near, the one that comes first. It panics on an empty
// list.
func Nearest(segments []Segment, angle quantity.Degrees) int {
	if len(segments) == 0 {
		panic("bore: the nearest of no segments")
	}
	nearest, off := 0, quantity.Degrees(math.Inf(1))
	for k, s := range segments {
		if o := s.Off(angle); o < off {
			nearest, off = k, o
		}
	}
	return nearest
}

// Stroked reports whether the pattern is laid in strokes over segments.
func (p Pattern) Stroked() bool { return p == SegmentReversing || p == SegmentOneWay }
