package draw

import (
	"math"

	"arctally/report/sheet"
)

// stretch is a part of the way of a finding that does not go over the reference mark: from one angle
// to another, the lower one first, and the turns that the torch had gone at both.
type stretch struct{ from, to, turnsFrom, turnsTo float64 }

// mostTurns is how many turns of a way are drawn: beyond that they cover one another.
const mostTurns = 200

// stretches cut the way of a finding at the reference mark, over which a wall that is laid flat
// does not go. Way is in degrees, anti-clockwise below 0.
func stretches(angle, way float64) (all []stretch) {
	direction := math.Copysign(1, way)
	left := math.Min(math.Abs(way), 360*mostTurns)
	for gone := 0.0; left > 0; {
		room := 360 - angle
		if direction < 0 {
			if angle == 0 {
				angle = 360
			}
			room = angle
		}
		step := math.Min(room, left)
		to := angle + direction*step
		one := stretch{angle, to, gone / 360, (gone + step) / 360}
		if direction < 0 {
			one = stretch{to, angle, one.turnsTo, one.turnsFrom}
		}
		all = append(all, one)
		left, gone, angle = left-step, gone+step, math.Mod(to, 360)
	}
	return all
}

// extended are the findings with a place and a way.
func extended(s *sheet.Sheet) (all []*sheet.Finding) {
	for i := range s.Findings {
		if f := &s.Findings[i]; f.Place != nil && f.Way != nil && *f.Way != 0 {
			all = append(all, f)
		}
	}
	return all
}

// extents are how far each finding goes, from where it began: a line along the bead, that of a helix deeper turn by turn.
func (f *flat) extents(s *sheet.Sheet, y func(depth float64) float64) (lines Layer) {
	fall := in(s.Job.Deposit.FallPerTurn(), f.unit)
	for _, one := range extended(s) {
		depth := in(one.Place.Depth, f.unit)
		at := func(turns float64) Number {
			return tenth(math.Min(f.end, math.Max(flatTop, y(depth+fall*turns))))
		}
		var o Outline
		for _, part := range stretches(float64(one.Place.Angle), float64(*one.Way)) {
			o = o.move(tenth(across(part.from)), at(part.turnsFrom)).line(tenth(across(part.to)), at(part.turnsTo))
		}
		lines = append(lines, Path{Class: pinClass("extent", one.Open), Open: true, Outline: o})
	}
	return lines
}

// endExtents are the same along the wall seen from its end; a turn or more is the whole circle.
func endExtents(s *sheet.Sheet) (arcs Layer) {
	for _, f := range extended(s) {
		class, way := pinClass("extent", f.Open), float64(*f.Way)
		if math.Abs(way) >= 360 {
			arcs = append(arcs, Circle{Class: class, Open: true, X: tenth(endCentre), Y: tenth(endCentre), R: tenth(wallR)})
			continue
		}
		x1, y1 := onCircle(endCentre, float64(f.Place.Angle), wallR)
		x2, y2 := onCircle(endCentre, float64(f.Place.Angle)+way, wallR)
		arcs = append(arcs, Path{Class: class, Open: true, Outline: Outline{}.move(tenth(x1), tenth(y1)).arc(tenth(wallR), math.Abs(way) > 180, way > 0, tenth(x2), tenth(y2))})
	}
	return arcs
}
