package sheet

import (
	"slices"
	"strconv"
	"strings"

	"arctally/analyze/bore"
	"arctally/analyze/pass"
	"arctally/analyze/rotation"
)

// angleBy says what the angles of a pass rest on, and when a person said so.
func (c wallClock) angleBy(a rotation.Account) string {
	by := AngleBy(a)
	if a.Angle == rotation.BySaid {
		by += " at " + c.at(pass.Moment{Epoch: a.Said.Epoch, Tick: a.Said.Tick}).Clock()
	}
	return by
}

// AngleBy says what the angles of a pass rest on, empty where there are none.
func AngleBy(a rotation.Account) string {
	switch a.Angle {
	case rotation.ByIndex:
		return "by the index"
	case rotation.BySaid:
		return "by what " + a.Said.By + " said"
	case rotation.ByStrike:
		return "by the first strike, taken to be at the start angle"
	case rotation.ByPlan:
		return "by plan: each pass is taken to begin where it is planned"
	case rotation.Unknown:
		return "not known since the restart"
	default:
		return ""
	}
}

// AngleUncertainty is the expanded uncertainty (k = 2) of the angle of a place, in
// degrees; nil where there is no angle, or nothing is known of it.
func AngleUncertainty(p *bore.Place) *float64 {
	if p == nil || p.AngleUncertainty <= 0 || p.AngleUncertainty >= rotation.NoAngle {
		return nil
	}
	return Plain(&p.AngleUncertainty)
}

// AngleUncertainty is the worse of those at the ends of a pass.
func (p *Pass) AngleUncertainty() *float64 {
	begin, end := AngleUncertainty(p.StartPlace), AngleUncertainty(p.EndPlace)
	if begin == nil || end == nil {
		return nil
	}
	return Known(max(*begin, *end))
}

// AngleLines say what the angles rest on, and how well they are known: one line where
// it is the same for all passes.
func (s *Sheet) AngleLines() []string {
	var bases []string
	for i := range s.Passes {
		if by := s.Passes[i].AngleBy; by != "" && !slices.Contains(bases, by) {
			bases = append(bases, by)
		}
	}
	var lines []string
	for _, by := range bases {
		of, within := s.restingOn(by)
		line := "angle " + by
		if within != nil {
			line += ", ±" + AngleDigits(*within) + " deg (k = 2)"
		}
		if len(of) < len(s.Passes) {
			line += "; pass " + strings.Join(of, ", ")
		}
		lines = append(lines, line)
	}
	return lines
}

// restingOn returns the passes whose angles rest on one thing, and the worst
// uncertainty of them; nil where it is not known of one.
func (s *Sheet) restingOn(by string) (passes []string, within *float64) {
	worst, known := 0.0, true
	for i := range s.Passes {
		p := &s.Passes[i]
		if p.AngleBy != by {
			continue
		}
		passes = append(passes, strconv.Itoa(p.Number))
		if u := p.AngleUncertainty(); u != nil {
			worst = max(worst, *u)
		} else {
			known = false
		}
	}
	if !known {
		return passes, nil
	}
	return passes, Known(worst)
}

// AngleDigits writes an uncertainty of an angle, with a tenth where it is below 10
// degrees.
func AngleDigits(degrees float64) string {
	if degrees < 10 {
		return Digits(&degrees, 1)
	}
	return Digits(&degrees, 0)
}
