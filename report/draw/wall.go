package draw

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/report/sheet"
)

type ShapeKey struct{ Path, Words string }

// Unrolled is the wall of the bore laid flat: angle across, depth down.
type Unrolled struct {
	Width, Height            coord
	Left, Right, Top, Bottom coord
	PlotWidth, PlotHeight    coord
	Angles, Depths           []tick
	Gaps                     []band
	Beads                    string // the planned path of the bead
	Pins                     []pin
	Summary, Extra, Unit     string
}

// depthOf is a length in the unit of depths.
func depthOf(s *sheet.Sheet, l quantity.Metres) float64 { return *sheet.In(&l, s.Units.Set().Length) }

// band is a range of angles left unwelded.
type band struct{ X, Width coord }

const (
	unrolledLeft, unrolledRight = 62.0, 742.0
	unrolledTop                 = 42.0
)

// Placed are the findings whose place is known.
func Placed(s *sheet.Sheet) (placed []*sheet.Finding) {
	for i := range s.Findings {
		if s.Findings[i].Place != nil {
			placed = append(placed, &s.Findings[i])
		}
	}
	return placed
}

// ShapeKeys explains the shapes that are on the drawings.
func ShapeKeys(placed []*sheet.Finding) []ShapeKey {
	var keys []ShapeKey
	at := map[string]int{}
	for _, f := range placed {
		path := RuleShape(f.Rule, 13, 13)
		words := sheet.Spaced(string(f.Rule))
		k, ok := at[path]
		switch {
		case !ok:
			at[path] = len(keys)
			keys = append(keys, ShapeKey{path, words})
		case !strings.Contains(keys[k].Words, words):
			keys[k].Words += ", " + words
		}
	}
	return keys
}

func NewUnrolled(s *sheet.Sheet, placed []*sheet.Finding) Unrolled {
	length, d := depthOf(s, s.Job.Bore.Length), depthOf(s, s.Job.Bore.WornDiameter)
	plotWidth := unrolledRight - unrolledLeft
	height := plotWidth / 2
	if d > 0 {
		height = math.Min(420, math.Max(190, plotWidth*length/(math.Pi*d)))
	}
	v := Unrolled{
		Width: 760, Height: coord(unrolledTop + height + 46), Left: unrolledLeft, Right: unrolledRight,
		Top: unrolledTop, Bottom: coord(unrolledTop + height), PlotWidth: coord(plotWidth), PlotHeight: coord(height),
	}
	y := func(depth float64) float64 { return unrolledTop + depth/length*height }
	for angle := 0; angle <= 360; angle += 45 {
		v.Angles = append(v.Angles, tick{coord(acrossOf(float64(angle))), strconv.Itoa(angle) + "°"})
	}
	v.Depths = depthTicks(length, y)
	for _, g := range s.Job.Deposit.Gaps {
		v.Gaps = append(v.Gaps, bands(g)...)
	}
	v.Beads = beads(s, length, y)
	v.Unit = s.Units.Set().Length
	v.Pins, v.Extra = wallPins(s, placed, float64(v.Bottom), y)
	v.Summary = fmt.Sprintf("The wall of the bore unrolled, angle across and depth down, with %s at their place.",
		sheet.Plural(len(placed), "finding", "findings"))
	return v
}

// depthTicks are at round depths, whatever the unit.
func depthTicks(length float64, y func(depth float64) float64) (ticks []tick) {
	step := roundStep(length / 6)
	for k := 0; float64(k)*step <= length*1.0001; k++ {
		ticks = append(ticks, tick{coord(y(float64(k) * step)), strconv.FormatFloat(float64(k)*step, 'g', 6, 64)})
	}
	return ticks
}

func acrossOf(angle float64) float64 {
	return unrolledLeft + angle/360*(unrolledRight-unrolledLeft)
}

// bands cuts a gap over the reference mark in two.
func bands(g bore.Gap) []band {
	from, to := float64(g.From), float64(g.To)
	if from > to {
		return []band{bandOf(from, 360), bandOf(0, to)}
	}
	return []band{bandOf(from, to)}
}

func bandOf(from, to float64) band {
	return band{coord(acrossOf(from)), coord(acrossOf(to) - acrossOf(from))}
}

// beads is the planned path: a helix falls by its pitch with each turn.
func beads(s *sheet.Sheet, length float64, y func(float64) float64) string {
	pitch := depthOf(s, s.Job.Deposit.Pitch)
	if pitch <= 0 || length/pitch > 400 {
		return ""
	}
	fall := pitch
	if s.Job.Deposit.Pattern != bore.Helix {
		fall = 0
	}
	var b strings.Builder
	for depth := pitch / 2; depth < length; depth += pitch {
		start, end := depth-fall/2, math.Min(length, depth+fall/2)
		fmt.Fprintf(&b, "M%s %sL%s %s", coord(unrolledLeft), coord(y(start)), coord(unrolledRight), coord(y(end)))
	}
	return b.String()
}

// wallPins puts each finding at its place on the wall, or as near as there is room.
func wallPins(s *sheet.Sheet, placed []*sheet.Finding, bottom float64, y func(float64) float64) (pins []pin, extra string) {
	var taken [][2]float64
	crowded := 0
	for _, f := range placed {
		fromX, fromY := acrossOf(float64(f.Place.Angle)), y(depthOf(s, f.Place.Depth))
		fromY = math.Min(bottom, math.Max(unrolledTop, fromY))
		x, yy, ok := nearestFree(inside(fromX, unrolledLeft, unrolledRight), inside(fromY, unrolledTop, bottom), bottom, taken)
		if !ok {
			crowded++
			continue
		}
		taken = append(taken, [2]float64{x, yy})
		pins = append(pins, newPin(f, x, yy, fromX, fromY))
	}
	if crowded > 0 {
		extra = fmt.Sprintf("%s more at places already marked: see the list.", sheet.Plural(crowded, "finding", "findings"))
	}
	return pins, extra
}

// inside keeps a mark off the edge of the wall, where the scales are.
func inside(v, from, until float64) float64 { return math.Min(until-pinR-3, math.Max(from+pinR+3, v)) }

// nearestFree looks around a place in widening rings.
func nearestFree(x, y, bottom float64, taken [][2]float64) (px, py float64, ok bool) {
	for ring := range 5 {
		steps := max(1, 8*ring)
		for k := range steps {
			px, py = onCircle(0, 90+360*float64(k)/float64(steps), pinPitch*float64(ring))
			px, py = x+px, y+py
			inside := px >= unrolledLeft-6 && px <= unrolledRight+6 && py >= unrolledTop-2 && py <= bottom+4
			if (ring == 0 || inside) && free(px, py, taken) {
				return px, py, true
			}
		}
	}
	return 0, 0, false
}
