package draw

import (
	"fmt"
	"math"
	"strings"

	"arctally/analyze/byangle"
	"arctally/report/sheet"
)

// Angle is the current by angle of one sweep, seen like the end view: from
// the torch side, clockwise from the reference mark at the top. The further out,
// the more current.
type Angle struct {
	Title, Summary string
	Size, Centre   coord
	Mean           coord // radius of the mean current
	Rings          []ringMark
	Curve          string // path, open where there was no arc
	Crests         []string
	Angles         []tick2
	Lines          []string // what was found, or that nothing was
}

// ringMark is a circle of one deviation from the mean.
type ringMark struct {
	R     coord
	Label tick2
}

const (
	angleSize  = 320.0
	angleMean  = 84.0 // radius of the mean current
	angleReach = 32.0 // from there to the outer circle
	// leastReach is the least deviation that the outer circle stands for, so that
	// noise is not blown up to look like something.
	leastReach = 0.02
	// mostAngleViews bounds the drawings of a job of many layers.
	mostAngleViews = 8
)

// Angles draws the sweeps, those with something found first.
func Angles(s *sheet.Sheet) []Angle {
	var found, quiet []Angle
	for k := range s.Sweeps {
		one := &s.Sweeps[k]
		if one.OffCentre.Found || one.Oval.Found {
			found = append(found, newAngleView(one))
		} else {
			quiet = append(quiet, newAngleView(one))
		}
	}
	all := append(found, quiet...)
	return all[:min(len(all), mostAngleViews)]
}

func newAngleView(s *byangle.Sweep) Angle {
	mean := float64(s.Mean.Current)
	reach := leastReach
	for _, b := range s.Bins {
		if b.ArcTime > 0 && mean > 0 {
			reach = math.Max(reach, math.Abs(float64(b.Current)/mean-1))
		}
	}
	reach = math.Ceil(reach*100) / 100
	v := Angle{
		Title: sweepTitle(s), Size: angleSize, Centre: angleSize / 2, Mean: angleMean,
		Curve: angleCurve(s, mean, reach), Lines: swingLines(s),
	}
	v.Summary = v.Title + ": current by angle. " + strings.Join(v.Lines, "; ") + "."
	for _, share := range []float64{-reach, reach} {
		r := angleMean + angleReach*share/reach
		x, y := onCircle(angleSize/2, 45, r)
		v.Rings = append(v.Rings, ringMark{coord(r), tick2{coord(x + 4), coord(y - 3), fmt.Sprintf("%+.0f %%", 100*share)}})
	}
	for angle := 0; angle < 360; angle += 90 {
		x, y := onCircle(angleSize/2, float64(angle), angleMean+angleReach+20)
		v.Angles = append(v.Angles, tick2{coord(x), coord(y + 5), fmt.Sprintf("%d°", angle)})
	}
	if s.OffCentre.Found {
		v.Crests = append(v.Crests, radial(float64(s.OffCentre.Crest)))
	}
	if s.Oval.Found {
		v.Crests = append(v.Crests, radial(float64(s.Oval.Crest)), radial(float64(s.Oval.Crest)+180))
	}
	return v
}

func sweepTitle(s *byangle.Sweep) string {
	passes := fmt.Sprintf("pass %d", s.First)
	if s.Last != s.First {
		passes = fmt.Sprintf("passes %d to %d", s.First, s.Last)
	}
	if s.Layer > 0 {
		return fmt.Sprintf("Layer %d, %s, %.1f turns, mean %.1f A", s.Layer, passes, s.Turns, float64(s.Mean.Current))
	}
	return fmt.Sprintf("%s, %.1f turns, mean %.1f A", passes, s.Turns, float64(s.Mean.Current))
}

// radial is a line over the ring at a crest.
func radial(angle float64) string {
	x1, y1 := onCircle(angleSize/2, angle, angleMean-angleReach)
	x2, y2 := onCircle(angleSize/2, angle, angleMean+angleReach+8)
	return fmt.Sprintf("M%s %sL%s %s", coord(x1), coord(y1), coord(x2), coord(y2))
}

// angleCurve joins the bins; it closes over the reference mark where the arc
// burned on both sides of it.
func angleCurve(s *byangle.Sweep, mean, reach float64) string {
	var b strings.Builder
	drawn := false
	for k := range byangle.Bins + 1 {
		bin := s.Bins[k%byangle.Bins]
		if bin.ArcTime <= 0 || mean <= 0 {
			drawn = false
			continue
		}
		r := angleMean + angleReach*(float64(bin.Current)/mean-1)/reach
		x, y := onCircle(angleSize/2, (float64(k)+0.5)*360/byangle.Bins, r)
		letter := "L"
		if !drawn {
			letter = "M"
		}
		b.WriteString(letter + coord(x).String() + " " + coord(y).String())
		drawn = true
	}
	return b.String()
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
