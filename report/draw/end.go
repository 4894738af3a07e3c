package draw

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strconv"
	"strings"

	"arctally/analyze/bore"
	"arctally/report/sheet"
)

// The bore seen along its axis, in units of the drawing. The deposit is drawn
// thicker than it is.
const (
	endCentre = 232.0
	wallR     = 124.0
	steelR    = 140.0 // outer edge of the drawn steel
	depositR  = 88.0  // inner edge of the last layer
	firstPinR = 164.0
	pinOrbits = 3
)

// Glyph is the bore alone, as the mark of a job.
func Glyph(s *sheet.Sheet) *Drawing {
	return &Drawing{Class: "glyph", Box: endBox(steelR + 4), Layers: []Layer{boreShapes(s)}}
}

// End is the bore seen along its axis from the torch side with the events, angles
// clockwise from the reference mark at the top.
func End(s *sheet.Sheet) Figure {
	events := placed(s)
	pins, crowded := endPins(events)
	edge := steelR + 4.0
	for k := range pins {
		edge = math.Max(edge, math.Hypot(pins[k].x-endCentre, pins[k].y-endCentre)+pinR+6)
	}
	d := &Drawing{
		Box:   endBox(edge),
		Words: fmt.Sprintf("End view of the bore from the torch side with %s at their angle.", sheet.Plural(len(events), "event", "events")),
	}
	d.add(boreShapes(s)...)
	d.add(Path{Class: "datum", Outline: Outline{}.move(tenth(endCentre), tenth(endCentre-wallR)).down(tenth(endCentre - steelR - 8))})
	d.add(angleLabels(45, depositR-22, endCentre)...)
	d.add(endExtents(s)...)
	d.addPins(pins)
	return Figure{Drawing: d, Keys: pinKeys(events), Extra: crowdedText(crowded, "angles")}
}

func endBox(edge float64) Box {
	return Box{tenth(endCentre - edge), tenth(endCentre - edge), tenth(2 * edge), tenth(2 * edge)}
}

// boreShapes are steel, layers, the finish diameter and what is left unwelded.
func boreShapes(s *sheet.Sheet) Layer {
	centre := tenth(endCentre)
	circle := func(class string, r float64) Circle { return Circle{Class: class, X: centre, Y: centre, R: tenth(r)} }
	shapes := Layer{circle("steel", steelR), circle("bead", wallR)}
	layers := layerCount(s)
	for k := 1; k <= layers; k++ {
		shapes = append(shapes, circle("bead", wallR-(wallR-depositR)*float64(k)/float64(layers)))
	}
	shapes = append(shapes, circle("hole", depositR))
	if finish := finishRadius(&s.Job.Bore); finish != 0 {
		shapes = append(shapes, circle("finish", finish))
	}
	for _, g := range s.Job.Deposit.Gaps {
		shapes = append(shapes, Path{Class: "gap", Outline: sector(g, depositR-4, steelR)})
	}
	return shapes
}

// layerCount is what the passes say, at least one.
func layerCount(s *sheet.Sheet) int {
	layers := 1
	for i := range s.Passes {
		layers = max(layers, s.Passes[i].Layer)
	}
	return min(layers, 12)
}

// finishRadius lies between the worn wall and the deposit in true proportion; 0 is
// not known.
func finishRadius(b *bore.Bore) float64 {
	if b.FinishDiameter <= b.WeldToDiameter || b.FinishDiameter >= b.WornDiameter || b.WeldToDiameter <= 0 {
		return 0
	}
	share := float64(b.WornDiameter-b.FinishDiameter) / float64(b.WornDiameter-b.WeldToDiameter)
	return wallR - (wallR-depositR)*share
}

// sector is the part of a ring that a gap leaves unwelded.
func sector(g bore.Gap, inner, outer float64) Outline {
	from := float64(g.From)
	span := math.Mod(float64(g.To)-from+360, 360)
	corner := func(angle, r float64) (x, y Number) {
		px, py := onCircle(endCentre, angle, r)
		return tenth(px), tenth(py)
	}
	x1, y1 := corner(from, outer)
	x2, y2 := corner(from+span, outer)
	x3, y3 := corner(from+span, inner)
	x4, y4 := corner(from, inner)
	return Outline{}.move(x1, y1).arc(tenth(outer), span > 180, true, x2, y2).line(x3, y3).arc(tenth(inner), span > 180, false, x4, y4).close()
}

// angleLabels stand around a circle.
func angleLabels(every int, r, centre float64) (labels Layer) {
	for angle := 0; angle < 360; angle += every {
		x, y := onCircle(centre, float64(angle), r)
		labels = append(labels, Label{Class: "mid", X: tenth(x), Y: tenth(y + 5), Words: strconv.Itoa(angle) + "°"})
	}
	return labels
}

// endPins puts each event on the first of three orbits that has room at its angle,
// and counts those without room.
func endPins(events []*sheet.Event) (pins []pin, crowded int) {
	sorted := slices.Clone(events)
	sort.SliceStable(sorted, func(a, b int) bool { return sorted[a].Place.Angle < sorted[b].Place.Angle })
	for _, e := range sorted {
		angle := float64(e.Place.Angle)
		x, y, ok := freeOrbit(angle, pins)
		if !ok {
			crowded++
			continue
		}
		toX, toY := onCircle(endCentre, angle, wallR)
		pins = append(pins, pin{e, x, y, toX, toY})
	}
	return pins, crowded
}

func freeOrbit(angle float64, pins []pin) (x, y float64, ok bool) {
	for orbit := range pinOrbits {
		x, y = onCircle(endCentre, angle, firstPinR+pinPitch*float64(orbit))
		if free(x, y, pins) {
			return x, y, true
		}
	}
	return 0, 0, false
}

// pinKeys explain the shapes that are on the drawings.
func pinKeys(events []*sheet.Event) (keys []Key) {
	at := map[string]int{}
	for _, e := range events {
		shape, words := ruleOutline(e.Lead.Rule, 13, 13).String(), string(e.Cause)
		k, ok := at[shape]
		switch {
		case !ok:
			at[shape] = len(keys)
			keys = append(keys, Key{pinKey(e.Lead.Rule), words})
		case !strings.Contains(keys[k].Words, words):
			keys[k].Words += ", " + words
		}
	}
	return keys
}
