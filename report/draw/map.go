package draw

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/report/sheet"
)

// The drawing of a map: 72 columns, no more rows than this, a number to a block of 6
// columns.
const (
	mapRows        = 40
	numberAcross   = 6
	leastRowHeight = 15.0
)

// cellsClass is what a class of the wall looks like, by its name in the style sheet.
var cellsClass = map[sheet.WallClass]string{
	sheet.WallLow: "short", sheet.WallHigh: "high", sheet.WallNear: "doubtful", sheet.WallWithin: "inwindow", sheet.WallUnknown: "unseen",
	sheet.WallBeside: "beside", '4': "shade0", '3': "shade1", '2': "shade2", '1': "shade3", '0': "shade4", // more is darker
}

// wallFields are the fields of a drawing of a view: a field is a few rows of one column,
// and shows the worst of its cells.
type wallFields struct {
	*sheet.WallView
	wall       *bore.Map
	rows, down int
}

func newWallFields(m *bore.Map, v *sheet.WallView) wallFields {
	down := (m.Rows + mapRows - 1) / mapRows
	return wallFields{v, m, (m.Rows + down - 1) / down, down}
}

// worst is the worst cell of a row of fields in some columns, of those that are judged if
// only they are wanted; -1 is none.
func (f wallFields) worst(row, column, columns int, judged bool) (at int) {
	at = -1
	for r := row * f.down; r < min((row+1)*f.down, f.wall.Rows); r++ {
		for c := column; c < column+columns; c++ {
			k := r*f.wall.Columns + c
			if judged && f.wall.BesideGap(c) {
				continue
			}
			if at < 0 || f.Worse(k, at) {
				at = k
			}
		}
	}
	return at
}

// Maps are the views of the unrolled map, all layers together, none where there is no map.
func Maps(s *sheet.Sheet, u sheet.Units) (figures []Figure) {
	for _, v := range s.WallViews(bore.DefaultEccentricity) {
		if v.Number == 0 {
			figures = append(figures, mapLayer(s, v, u))
		}
	}
	return figures
}

// mapNote says how to read a map, and what it rests on.
func mapNote(s *sheet.Sheet, f wallFields, u sheet.Units) string {
	note := fmt.Sprintf("A field is %.0f° by %s and shows the worst of it; a number is the worst of 30°.", float64(s.Wall.AngleStep),
		sheet.Say(quantity.Metres(f.down)*s.Wall.DepthStep, u.Set().Depth))
	switch f.Of {
	case sheet.HeatLayer:
		return note + " The procedure judges the heat input of a whole pass; a field is a stretch of one."
	case sheet.ArcOnLayer:
		return note + " The time with an arc, of the time that the torch was there in a pass."
	}
	for _, line := range s.AngleLines() {
		note += " " + strings.ToUpper(line[:1]) + line[1:] + "."
	}
	return note
}

// mapLayer draws one view.
func mapLayer(s *sheet.Sheet, v *sheet.WallView, u sheet.Units) Figure {
	title, unit := v.Text(u)
	if unit.Name != "" {
		title += ", " + unit.Name
	}
	fields := newWallFields(s.Wall, v)
	height := math.Max(120, leastRowHeight*float64(fields.rows))
	f := newFlat(height, u.Set().Depth.Name)
	f.Words = fmt.Sprintf("The wall unrolled, angle across and depth down: %s.", title)
	y := func(row float64) float64 { return flatTop + row/float64(fields.rows)*height }
	f.shade(fields, y)
	f.gaps(s.Wall.Deposit.Gaps)
	var angles Layer
	for angle := 0; angle <= 360; angle += 30 {
		x := tenth(across(float64(angle)))
		angles = append(angles, Path{Class: "tickline", Outline: Outline{}.move(x, f.bottom).below(whole(6))}, f.angleLabel(x, angle, 21))
	}
	f.add(angles...)
	length := in(s.Wall.Bore.Length, f.unit)
	rows := float64(s.Wall.Bore.Length/s.Wall.DepthStep) / float64(fields.down)
	f.depths(length, func(depth float64) float64 { return y(depth / length * rows) })
	at := func(depth float64) float64 { return flatTop + depth/length*height }
	pins, crowded := f.pins(placed(s), at)
	f.add(numbers(fields, y, unit, pins)...)
	f.add(f.extents(s, at)...)
	f.addPins(pins)
	return Figure{Title: title, Drawing: &f.Drawing, Keys: wallKeys(v, u), Note: mapNote(s, fields, u), Extra: crowdedText(crowded, "places")}
}

// wallKeys explain the classes that there are; planned gaps are explained with the marks.
func wallKeys(v *sheet.WallView, u sheet.Units) (keys []Key) {
	for _, key := range v.Keys(u) {
		if class, drawn := cellsClass[key.Class]; drawn {
			keys = append(keys, Key{shadeKey(class), key.Words})
		}
	}
	return keys
}

// shade puts each field into its class: one path for all fields of a class.
func (f *flat) shade(fields wallFields, y func(float64) float64) {
	outlines := map[string]Outline{}
	for row := range fields.rows {
		for column := range fields.wall.Columns {
			class := cellsClass[fields.Classes[fields.worst(row, column, 1, false)]]
			left, right := across(float64(column)*float64(fields.wall.AngleStep)), across(float64(column+1)*float64(fields.wall.AngleStep))
			outlines[class] = append(outlines[class], frameOf(tenth(left), tenth(y(float64(row))), tenth(right), tenth(y(float64(row+1))))...)
		}
	}
	delete(outlines, "") // planned gaps are drawn where they begin and end
	var cells Layer
	for _, class := range slices.Sorted(maps.Keys(outlines)) {
		cells = append(cells, Path{Class: "cells " + class, Outline: outlines[class]})
	}
	f.add(cells...)
}

// numbers print the worst value of each block of fields, in the middle of those of its
// columns that are judged, where no finding stands and the worst is known.
func numbers(f wallFields, y func(float64) float64, unit sheet.Unit, pins []pin) (labels Layer) {
	for column := 0; column < f.wall.Columns; column += numberAcross {
		sum, judged := 0.0, 0
		for c := column; c < column+numberAcross; c++ {
			if !f.wall.BesideGap(c) {
				sum, judged = sum+float64(c)+0.5, judged+1
			}
		}
		if judged < 2 {
			continue // no room for a figure
		}
		x := across(sum / float64(judged) * float64(f.wall.AngleStep))
		for row := range f.rows {
			middle := (y(float64(row)) + y(float64(row+1))) / 2
			if at := f.worst(row, column, numberAcross, true); at >= 0 && f.Values[at] != nil && !pinned(pins, x, middle+4) {
				value := f.In(*f.Values[at], unit)
				labels = append(labels, Label{Class: "fieldno", X: tenth(x), Y: tenth(middle + 4), Words: sheet.Digits(&value, min(unit.Digits, 2))})
			}
		}
	}
	return labels
}

// pinned reports whether a finding stands where a number would.
func pinned(pins []pin, x, y float64) bool {
	for k := range pins {
		if px, py := pins[k].numberAt(); math.Abs(x-px) < 26 && math.Abs(y-py) < 19 {
			return true
		}
	}
	return false
}
