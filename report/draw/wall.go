package draw

import (
	"fmt"
	"math"
	"strconv"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/report/sheet"
)

// The wall of the bore laid flat, angle across and depth down, in units of the drawing.
const (
	flatWidth           = 760.0
	flatLeft, flatRight = 62.0, 742.0
	flatTop             = 42.0
	flatBelow           = 46.0 // room for the scale of angles
)

// flat is a wall laid flat that is being drawn.
type flat struct {
	Drawing
	height, end float64 // of the wall, and where it ends
	bottom      Number  // the same on the drawing
	unit        string  // of depths
}

func newFlat(height float64, unit string) *flat {
	f := &flat{height: height, end: flatTop + height, bottom: tenth(flatTop + height), unit: unit}
	f.Box = Box{Width: tenth(flatWidth), Height: tenth(flatTop + height + flatBelow)}
	return f
}

// Wall is the wall unrolled with the bead as planned and the events.
func Wall(s *sheet.Sheet, u sheet.Units) Figure {
	unit := u.Set().Depth.Name
	length, diameter := in(s.Job.Bore.Length, unit), in(s.Job.Bore.WornDiameter, unit)
	height := (flatRight - flatLeft) / 2
	if diameter > 0 {
		height = math.Min(420, math.Max(190, (flatRight-flatLeft)*length/(math.Pi*diameter)))
	}
	f := newFlat(height, unit)
	y := func(depth float64) float64 { return flatTop + depth/length*height }
	events := placed(s)
	f.Words = fmt.Sprintf("The wall of the bore unrolled, angle across and depth down, with %s at their place.",
		sheet.Plural(len(events), "event", "events"))
	f.add(f.edge("wall"))
	f.add(beads(&s.Job.Deposit, in(s.Job.Deposit.Pitch, unit), length, y)...)
	f.gaps(s.Job.Deposit.Gaps)
	var angles Layer
	for angle := 0; angle <= 360; angle += 45 {
		x := tenth(across(float64(angle)))
		angles = append(angles, Path{Class: "gridline", Outline: Outline{}.move(x, tenth(flatTop)).down(f.bottom)}, f.angleLabel(x, angle, 20))
	}
	f.add(angles...)
	f.depths(length, y)
	f.add(f.extents(s, y)...)
	pins, crowded := f.pins(events, y)
	f.addPins(pins)
	return Figure{Drawing: &f.Drawing, Extra: crowdedText(crowded, "places")}
}

// in is a length as a plain number.
func in(l quantity.Metres, unit string) float64 { return *sheet.In(&l, unit) }

// across is where an angle lies.
func across(angle float64) float64 { return flatLeft + angle/360*(flatRight-flatLeft) }

func (f *flat) edge(class string) Rect { return f.band(class, flatLeft, flatRight-flatLeft) }

// band is a part of the wall over its whole length.
func (f *flat) band(class string, x, width float64) Rect {
	return Rect{Class: class, X: tenth(x), Y: tenth(flatTop), Width: tenth(width), Height: tenth(f.height)}
}

// gaps are left unwelded; one over the reference mark is cut in two.
func (f *flat) gaps(gaps []bore.Gap) {
	var bands Layer
	band := func(from, to float64) {
		bands = append(bands, f.band("gap", across(from), across(to)-across(from)))
	}
	for _, g := range gaps {
		from, to := float64(g.From), float64(g.To)
		if from > to {
			band(from, 360)
			from = 0
		}
		band(from, to)
	}
	f.add(bands...)
}

func (f *flat) angleLabel(x Number, angle int, below int64) Label {
	return Label{Class: "mid", X: x, Y: f.bottom, DY: whole(below), Words: strconv.Itoa(angle) + "°"}
}

// depths are the scale of depths, at round ones whatever the unit, and the edge of
// the wall.
func (f *flat) depths(length float64, y func(depth float64) float64) {
	left := tenth(flatLeft)
	var scale Layer
	step := roundStep(length / 6)
	for k := 0; float64(k)*step <= length*1.0001; k++ {
		at := tenth(y(float64(k) * step))
		scale = append(scale, Path{Class: "tickline", Outline: Outline{}.move(left, at).right(whole(-6))},
			Label{Class: "end", X: left, DX: whole(-10), Y: at, DY: whole(5), Words: strconv.FormatFloat(float64(k)*step, 'g', 6, 64)})
	}
	f.add(scale...)
	f.add(f.edge("edge"))
	f.add(Label{Class: "start", X: left, Y: whole(18), Words: "entry face; depth below it, " + f.unit})
	f.add(Label{Class: "end", X: tenth(flatRight), Y: f.bottom, DY: whole(40), Words: "angle, clockwise from the torch side"})
}

// beads is the planned path: a helix falls by its pitch with each turn.
func beads(deposit *bore.Deposit, pitch, length float64, y func(float64) float64) Layer {
	if pitch <= 0 || length/pitch > 400 {
		return nil
	}
	fall := pitch
	if deposit.Pattern != bore.Helix {
		fall = 0
	}
	var o Outline
	for depth := pitch / 2; depth < length; depth += pitch {
		start, end := depth-fall/2, math.Min(length, depth+fall/2)
		o = o.move(tenth(flatLeft), tenth(y(start))).line(tenth(flatRight), tenth(y(end)))
	}
	if o == nil {
		return nil
	}
	return Layer{Path{Class: "path", Outline: o}}
}

// pins puts each event at its place on the wall, or above or below it where there is room, and
// counts those without room. A mark never leaves its angle, but for the edge of the wall.
func (f *flat) pins(events []*sheet.Event, y func(float64) float64) (pins []pin, crowded int) {
	for _, one := range events {
		toX, toY := across(float64(one.Place.Angle)), y(in(one.Place.Depth, f.unit))
		toY = math.Min(f.end, math.Max(flatTop, toY))
		x, yy, ok := f.nearestFree(inside(toX, flatLeft, flatRight), inside(toY, flatTop, f.end), pins)
		if !ok {
			crowded++
			continue
		}
		pins = append(pins, pin{one, x, yy, toX, toY})
	}
	return pins, crowded
}

// inside keeps a mark off the edge of the wall, where the scales are.
func inside(v, from, until float64) float64 { return math.Min(until-pinR-3, math.Max(from+pinR+3, v)) }

// nearestFree looks from a place down and up, further and further.
func (f *flat) nearestFree(x, y float64, pins []pin) (px, py float64, ok bool) {
	for k := range 2 * int((f.height+2*pinPitch)/pinPitch) {
		py = y + pinPitch*float64((k+1)/2)*float64(2*(k%2)-1)
		if py >= flatTop-2 && py <= f.end+4 && free(x, py, pins) {
			return x, py, true
		}
	}
	return 0, 0, false
}
