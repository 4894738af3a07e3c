package draw

import (
	"fmt"
	"math"
	"strconv"

	"arctally/acquire/quantity"
	"arctally/analyze/finding"
	"arctally/report/sheet"
)

// pin is an event on a drawing: its numbered mark, and a line to its place.
type pin struct {
	event    *sheet.Event
	x, y     float64 // where the mark stands
	toX, toY float64 // the place at which it began
}

const (
	pinR     = 11.0
	pinPitch = 27.0 // the least distance of two marks
)

// numberAt is where the number of a mark stands.
func (p *pin) numberAt() (x, y float64) {
	switch p.event.Lead.Rule {
	case finding.ArcOut, finding.ArcInGap, finding.ArcOnRatio:
		return p.x, p.y + 7 // a triangle is wide below
	default:
		return p.x, p.y + 4
	}
}

// addPins puts the lines of all pins below the marks of all pins.
func (d *Drawing) addPins(pins []pin) {
	var lines, marks Layer
	for k := range pins {
		p := &pins[k]
		e := p.event
		x, y := p.numberAt()
		toX, toY := tenth(p.toX), tenth(p.toY)
		lines = append(lines, Path{Class: "lead", Outline: Outline{}.move(toX, toY).line(tenth(x), tenth(y))},
			Circle{Class: "spot", X: toX, Y: toY, R: tenth(2.5)})
		number := "no"
		if e.Number > 99 { // three figures need smaller type
			number = "no small"
		}
		title := fmt.Sprintf("event %d: %s at %s, %s deep", e.Number, e.Cause,
			quantity.Text(e.Place.Angle, "deg", 0), e.Deep())
		marks = append(marks, Path{Class: pinClass("pin", e.State.IsOpen()), Title: title, Outline: ruleOutline(e.Lead.Rule, p.x, p.y)},
			Label{Class: pinClass(number, e.State.IsOpen()), X: tenth(x), Y: tenth(y), Words: strconv.Itoa(e.Number)})
	}
	d.add(lines...)
	d.add(marks...)
}

func pinClass(class string, open bool) string {
	if open {
		return class
	}
	return class + " closed"
}

// ruleOutline tells the families of findings apart: round electrical, square
// mechanical, pointed where the arc was not as planned, a diamond for heat.
func ruleOutline(rule finding.Rule, x, y float64) Outline {
	switch rule {
	case finding.Voltage, finding.Current:
		return round(x, y, pinR)
	case finding.ArcOut, finding.ArcInGap, finding.ArcOnRatio:
		return polygon(x, y+2, pinR*1.4, 3, -90)
	case finding.HeatInput:
		return polygon(x, y, pinR*1.3, 4, -90)
	case finding.GasFlow, finding.Interpass:
		return polygon(x, y, pinR*1.12, 6, 0)
	default:
		return polygon(x, y, pinR*1.3, 4, -45)
	}
}

// placed are the events that have a place. What concerns whole passes has none, and is not drawn at
// whichever angle a pass begins.
func placed(s *sheet.Sheet) (placed []*sheet.Event) {
	for i := range s.Events {
		if s.Events[i].Place != nil {
			placed = append(placed, &s.Events[i])
		}
	}
	return placed
}

// free reports whether a mark has room beside those that are there.
func free(x, y float64, pins []pin) bool {
	for k := range pins {
		if math.Hypot(x-pins[k].x, y-pins[k].y) < pinPitch-0.5 {
			return false
		}
	}
	return true
}

// crowdedText tells of pins that found no room.
func crowdedText(pins int, where string) string {
	if pins == 0 {
		return ""
	}
	return fmt.Sprintf("%s more at %s already marked: see the list.", sheet.Plural(pins, "event", "events"), where)
}
