package draw

import (
	"fmt"
	"math"
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
	mapShades      = 5
)

// valueOf gives what a layer of the map shows of a field, nil where it shows nothing.
type valueOf func(f sheet.Fields, row, column int) *float64

// Maps are the layers of the unrolled map, none where there is no map.
func Maps(s *sheet.Sheet, u sheet.Units) (figures []Figure) {
	if s.Wall == nil {
		return nil
	}
	fields := sheet.Coarse(s.Wall, 1, mapRows)
	set := u.Set()
	clean := s.Wall.CleanUp(s.Wall.NewAllowance(bore.DefaultEccentricity))
	least := func(f sheet.Fields, row, column int) *float64 {
		return sheet.In(f.Least(row, column, sheet.StockOf(f.Wall)), set.Bore.Name)
	}
	figures = append(figures, mapLayer(s, sheet.StockLayer, u, newStockClasses(fields, clean, set.Bore), least,
		"A number is the least of 30° around it. White beside the hatched gap: too near to be judged."+angleNote(s)))
	note := fmt.Sprintf("A number is the mean of 30° around it; a field is %.0f° by %s.", float64(s.Wall.AngleStep),
		sheet.Say(quantity.Metres(fields.Down)*s.Wall.DepthStep, set.Depth))
	for _, of := range []sheet.MapLayer{sheet.HeatLayer, sheet.ArcLayer} {
		_, unit := s.LayerText(of, u)
		window := limits{}
		if of == sheet.HeatLayer {
			window = windowOf(s.Job.Procedure.Limits.HeatInput, unit)
		}
		value := func(f sheet.Fields, row, column int) *float64 { return fieldValue(s, f, of, row, column, unit) }
		figures = append(figures, mapLayer(s, of, u, newValueClasses(fields, unit, window, value), value, note))
	}
	return figures
}

// angleNote says what the map rests on.
func angleNote(s *sheet.Sheet) (note string) {
	for _, line := range s.AngleLines() {
		note += " " + strings.ToUpper(line[:1]) + line[1:] + "."
	}
	return note
}

// fieldValue is a layer of a field; arc-on time is the mean of its cells.
func fieldValue(s *sheet.Sheet, f sheet.Fields, of sheet.MapLayer, row, column int, unit sheet.Unit) *float64 {
	sum, cells := f.Sum(row, column)
	switch {
	case cells == 0 || sum.ArcTime <= 0:
		return nil
	case of == sheet.HeatLayer:
		return sheet.In(s.HeatOf(sum), unit.Name)
	default:
		return sheet.Known(float64(sum.ArcTime) / float64(cells))
	}
}

// mapLayer draws one layer.
func mapLayer(s *sheet.Sheet, of sheet.MapLayer, u sheet.Units, c classes, value valueOf, note string) Figure {
	title, unit := s.LayerText(of, u)
	title = strings.ToUpper(title[:1]) + title[1:] + ", " + unit.Name
	fields := c.fieldsOf()
	height := math.Max(120, leastRowHeight*float64(fields.Rows))
	f := newFlat(height, u.Set().Depth.Name)
	f.Words = fmt.Sprintf("The wall unrolled, angle across and depth down: %s.", title)
	y := func(row float64) float64 { return flatTop + row/float64(fields.Rows)*height }
	keys := f.shade(c, y)
	f.gaps(s.Wall.Deposit.Gaps)
	var angles Layer
	for angle := 0; angle <= 360; angle += 30 {
		x := tenth(across(float64(angle)))
		angles = append(angles, Path{Class: "tickline", Outline: Outline{}.move(x, f.bottom).below(whole(6))}, f.angleLabel(x, angle, 21))
	}
	f.add(angles...)
	length := in(s.Wall.Bore.Length, f.unit)
	rows := float64(s.Wall.Bore.Length/s.Wall.DepthStep) / float64(fields.Down)
	f.depths(length, func(depth float64) float64 { return y(depth / length * rows) })
	at := func(depth float64) float64 { return flatTop + depth/length*height }
	pins, crowded := f.pins(placed(s), at)
	f.add(numbers(fields, y, value, min(unit.Digits, 2), pins)...)
	f.add(f.extents(s, at)...)
	f.addPins(pins)
	return Figure{Title: title, Drawing: &f.Drawing, Keys: keys, Note: note, Extra: crowdedText(crowded, "places")}
}

// shade puts each field into its class: one path for all fields of a class.
func (f *flat) shade(c classes, y func(float64) float64) (keys []Key) {
	fields, shades := c.fieldsOf(), c.shades()
	outlines := make([]Outline, len(shades))
	for row := range fields.Rows {
		for column := range fields.Columns {
			class := c.of(row, column)
			if class < 0 {
				continue
			}
			left, right := across(float64(column)*float64(fields.Wall.AngleStep)), across(float64(column+1)*float64(fields.Wall.AngleStep))
			outlines[class] = append(outlines[class], frameOf(tenth(left), tenth(y(float64(row))), tenth(right), tenth(y(float64(row+1))))...)
		}
	}
	var cells Layer
	for k, one := range shades {
		if outlines[k] != nil {
			cells = append(cells, Path{Class: "cells " + one.class, Outline: outlines[k]})
			keys = append(keys, Key{shadeKey(one.class), one.words})
		}
	}
	f.add(cells...)
	return keys
}

// numbers print the value of each block of fields, in the middle of those of its
// columns that are judged, where no finding stands.
func numbers(f sheet.Fields, y func(float64) float64, value valueOf, digits int, pins []pin) (labels Layer) {
	blocks := sheet.Fields{Wall: f.Wall, Across: numberAcross, Down: f.Down, Columns: f.Wall.Columns / numberAcross, Rows: f.Rows}
	for column := range blocks.Columns {
		sum, judged := 0.0, 0
		for c := column * numberAcross; c < (column+1)*numberAcross; c++ {
			if !f.Wall.BesideGap(c) {
				sum, judged = sum+float64(c)+0.5, judged+1
			}
		}
		if judged < 2 {
			continue // no room for a figure
		}
		x := across(sum / float64(judged) * float64(f.Wall.AngleStep))
		for row := range blocks.Rows {
			middle := (y(float64(row)) + y(float64(row+1))) / 2
			if v := value(blocks, row, column); v != nil && !pinned(pins, x, middle+4) {
				labels = append(labels, Label{Class: "fieldno", X: tenth(x), Y: tenth(middle + 4), Words: sheet.Digits(v, digits)})
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
