package draw

import (
	"arctally/analyze/finding"
	"arctally/report/sheet"
)

// icon is a drawing that stands in a line of text, and says nothing beside it.
func icon(class string, box Box, shapes ...Shape) *Drawing {
	return &Drawing{Box: box, Class: class, Layers: []Layer{shapes}}
}

// square is a box of whole numbers with its corner on the diagonal.
func square(corner, side int64) Box {
	return Box{whole(corner), whole(corner), whole(side), whole(side)}
}

// Sign is the mark of a verdict in a line of text.
func Sign(sign string) *Drawing {
	outline := Outline{}.move(tenth(2.5), whole(10)).half(tenth(7.5), whole(15)).half(tenth(7.5), whole(-15)).close()
	switch sign {
	case sheet.SignNearOut, sheet.SignOutside:
		outline = Outline{}.move(whole(10), whole(2)).line(tenth(18.5), tenth(17.5)).across(tenth(1.5)).close()
	case sheet.SignUnjudged:
		outline = Outline{}.move(whole(4), whole(4)).line(whole(16), whole(16)).move(whole(4), whole(16)).line(whole(16), whole(4))
	}
	return icon("sign "+sign, square(0, 20), Path{Outline: outline})
}

// signAt is the same mark around a point of a chart.
func signAt(sign string, x, y, r float64) Outline {
	switch sign {
	case sheet.SignNearOut, sheet.SignOutside:
		return polygon(x, y, r*1.25, 3, -90)
	case sheet.SignUnjudged:
		return Outline{}.move(tenth(x-r), tenth(y-r)).line(tenth(x+r), tenth(y+r)).move(tenth(x-r), tenth(y+r)).line(tenth(x+r), tenth(y-r))
	default:
		return round(x, y, r)
	}
}

// PinMark is the mark of an event in the list of events.
func PinMark(e *sheet.Event) *Drawing {
	return icon("no", square(4, 28), Path{Class: pinClass("pin", e.State.IsOpen()), Outline: ruleOutline(e.Lead.Rule, 18, 18)})
}

// pinKey explains the shape of a pin.
func pinKey(rule finding.Rule) *Drawing {
	return icon("", square(-3, 32), Path{Class: "pin", Outline: ruleOutline(rule, 13, 13)})
}

// shadeKey explains a shade of the map.
func shadeKey(class string) *Drawing {
	width, height := whole(30), whole(20)
	return icon("", Box{whole(0), whole(0), width, height}, Rect{Class: class, Width: width, Height: height},
		Path{Class: "edge", Outline: frameOf(whole(0), whole(0), width, height)})
}

// lineKey explains a line, or a hatch, of a chart that has two of them.
func lineKey(class string) *Drawing {
	box := Box{whole(0), whole(0), whole(56), whole(12)}
	if class == apartClass {
		return icon("", box, Rect{Class: class, Width: box.Width, Height: box.Height})
	}
	return icon("", box, Path{Class: class, Outline: Outline{}.move(whole(2), whole(6)).across(whole(54))})
}
