package draw

import (
	"fmt"
	"math"
	"strings"

	"arctally/analyze/byangle"
	"arctally/report/sheet"
)

const (
	angleSize  = 320.0
	angleMean  = 84.0 // radius of the mean current
	angleReach = 32.0 // from there to the outer circle
	// leastReach is the least deviation that the outer circle stands for, so that
	// noise is not blown up to look like something.
	leastReach = 0.02
	// mostAngles bounds the drawings of a job of many layers.
	mostAngles = 8
)

// Angles are the current by angle of the sweeps, those with something found first.
func Angles(s *sheet.Sheet) []Figure {
	var found, quiet []Figure
	for k := range s.Sweeps {
		one := &s.Sweeps[k]
		if one.OffCentre.Found || one.Oval.Found {
			found = append(found, angleFigure(one))
		} else {
			quiet = append(quiet, angleFigure(one))
		}
	}
	all := append(found, quiet...)
	return all[:min(len(all), mostAngles)]
}

// angleFigure is the current by angle of one sweep, seen like the end view: from the
// torch side, clockwise from the reference mark at the top. The further out, the more
// current.
func angleFigure(s *byangle.Sweep) Figure {
	mean := float64(s.Mean.Current)
	reach := leastReach
	for _, b := range s.Bins {
		if b.ArcTime > 0 && mean > 0 {
			reach = math.Max(reach, math.Abs(float64(b.Current)/mean-1))
		}
	}
	reach = math.Ceil(reach*100) / 100
	title, lines := sweepTitle(s), swingLines(s)
	d := &Drawing{
		Box:   Box{Width: tenth(angleSize), Height: tenth(angleSize)},
		Words: title + ": current by angle. " + strings.Join(lines, "; ") + ".",
	}
	d.add(deviationRings(reach)...)
	d.add(ringOf("limit", angleMean))
	d.add(append(crests(s), angleCurve(s, mean, reach)...)...)
	d.add(angleLabels(90, angleMean+angleReach+20, angleSize/2)...)
	return Figure{Title: title, Drawing: d, Lines: lines}
}

func ringOf(class string, r float64) Circle {
	return Circle{Class: class, Open: true, X: tenth(angleSize / 2), Y: tenth(angleSize / 2), R: tenth(r)}
}

// deviationRings stand for so much less and so much more than the mean.
func deviationRings(reach float64) (shapes Layer) {
	for _, share := range []float64{-reach, reach} {
		r := angleMean + angleReach*share/reach
		x, y := onCircle(angleSize/2, 45, r)
		shapes = append(shapes, ringOf("gridline", r), Label{X: tenth(x + 4), Y: tenth(y - 3), Words: fmt.Sprintf("%+.0f %%", 100*share)})
	}
	return shapes
}

// crests are lines over the ring where the current is highest.
func crests(s *byangle.Sweep) (lines Layer) {
	add := func(angle float64) {
		x1, y1 := onCircle(angleSize/2, angle, angleMean-angleReach)
		x2, y2 := onCircle(angleSize/2, angle, angleMean+angleReach+8)
		lines = append(lines, Path{Class: "bar", Outline: Outline{}.move(tenth(x1), tenth(y1)).line(tenth(x2), tenth(y2))})
	}
	if s.OffCentre.Found {
		add(float64(s.OffCentre.Crest))
	}
	if s.Oval.Found {
		add(float64(s.Oval.Crest))
		add(float64(s.Oval.Crest) + 180)
	}
	return lines
}

// angleCurve joins the bins, open where there was no arc; it closes over the reference
// mark where the arc burned on both sides of it.
func angleCurve(s *byangle.Sweep, mean, reach float64) Layer {
	var o Outline
	drawn := false
	for k := range byangle.Bins + 1 {
		bin := s.Bins[k%byangle.Bins]
		if bin.ArcTime <= 0 || mean <= 0 {
			drawn = false
			continue
		}
		r := angleMean + angleReach*(float64(bin.Current)/mean-1)/reach
		x, y := onCircle(angleSize/2, (float64(k)+0.5)*360/byangle.Bins, r)
		if drawn {
			o = o.line(tenth(x), tenth(y))
		} else {
			o = o.move(tenth(x), tenth(y))
		}
		drawn = true
	}
	if o == nil {
		return nil
	}
	return Layer{Path{Class: "axis", Open: true, Outline: o}}
}

func sweepTitle(s *byangle.Sweep) string {
	passes := fmt.Sprintf("pass %d", s.First)
	if s.Last != s.First {
		passes = fmt.Sprintf("passes %d to %d", s.First, s.Last)
	}
	if s.Layer > 0 {
		passes = fmt.Sprintf("Layer %d, %s", s.Layer, passes)
	}
	return fmt.Sprintf("%s, %.1f turns, mean %.1f A", passes, s.Turns, float64(s.Mean.Current))
}

func swingLines(s *byangle.Sweep) []string {
	if !s.OffCentre.Known {
		return []string{"too few turns to tell a swing from noise"}
	}
	line := func(name string, w byangle.Swing, crest string) string {
		if !w.Found {
			return fmt.Sprintf("no swing %s above %s %%", name, sheet.Digits(sheet.In(&w.Least, "%"), 2))
		}
		return fmt.Sprintf("%s: %s %%, highest at %s", name, sheet.Digits(sheet.In(&w.Amplitude, "%"), 2), crest)
	}
	return []string{
		line("once a turn", s.OffCentre, fmt.Sprintf("%.0f°", float64(s.OffCentre.Crest))),
		line("twice a turn", s.Oval, fmt.Sprintf("%.0f° and %.0f°", float64(s.Oval.Crest), float64(s.Oval.Crest)+180)),
	}
}
