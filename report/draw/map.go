package draw

import (
	"fmt"
	"math"
	"strings"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/report/sheet"
)

// Map is one layer of the unrolled map, ready to draw.
type Map struct {
	Title, Note, Summary string
	Width, Height        coord
	Left, Right          coord
	Top, Bottom          coord
	PlotWidth            coord
	PlotHeight           coord
	Shades               []shade
	Gaps                 []band
	Numbers              []mapNumber
	Angles, Depths       []tick
	Pins                 []pin
	Extra, Unit          string
	classes              classes
}

// classes sort the fields of a map into shades.
type classes interface {
	of(row, column int) int // -1 where there is nothing to show
	shades() []shade
}

// shade is a class of fields: one outline for all of them.
type shade struct{ Class, Words, Path string }

type mapNumber struct {
	X, Y coord
	Text string
}

// The drawing: 72 columns, no more rows than this, a number to a block of 6 columns.
const (
	mapRows        = 40
	numberAcross   = 6
	leastRowHeight = 15.0
	MapShades      = 5
)

// Maps are the drawings of the map, none where there is no map.
func Maps(s *sheet.Sheet) (views []*Map) {
	if s.Wall == nil {
		return nil
	}
	f := sheet.Coarse(s.Wall, 1, mapRows)
	set := s.Units.Set()
	clean := s.Wall.CleanUp(s.Wall.NewAllowance(bore.DefaultEccentricity))
	least := func(f sheet.Fields) func(row, column int) *float64 {
		return func(row, column int) *float64 { return sheet.In(f.Least(row, column, sheet.StockOf(f.M)), set.Bore) }
	}
	views = append(views, layerView(s, sheet.StockLayer, f, newStockClasses(f, clean, set.Bore, set.BoreDigits), least, "A number is the least of 30° around it. White beside the hatched gap: too near to be judged."))
	for _, of := range []sheet.MapLayer{sheet.HeatLayer, sheet.ArcLayer} {
		_, unit, decimals := s.LayerText(of, s.Units)
		window := limits{}
		if of == sheet.HeatLayer {
			window = windowOf(s.Job.Procedure.Limits.HeatInput, unit)
		}
		value := func(f sheet.Fields) func(row, column int) *float64 {
			return func(row, column int) *float64 { return fieldValue(s, f, of, row, column, unit) }
		}
		views = append(views, layerView(s, of, f, newValueClasses(f, unit, decimals, window, value(f)), value, fmt.Sprintf("A number is the mean of 30° around it; a field is %.0f° by %s.", float64(s.Wall.AngleStep),
			quantity.Text(quantity.Metres(f.Down)*s.Wall.DepthStep, set.Length, set.DepthDigits))))
	}
	return views
}

// fieldValue is a layer of a field; arc-on time is the mean of its cells.
func fieldValue(s *sheet.Sheet, f sheet.Fields, of sheet.MapLayer, row, column int, unit string) *float64 {
	sum, cells := f.Sum(row, column)
	switch {
	case cells == 0 || sum.ArcTime <= 0:
		return nil
	case of == sheet.HeatLayer:
		return sheet.In(s.HeatOf(sum), unit)
	default:
		return sheet.Known(float64(sum.ArcTime) / float64(cells))
	}
}

// layerView draws one layer.
func layerView(s *sheet.Sheet, of sheet.MapLayer, f sheet.Fields, c classes, value func(sheet.Fields) func(row, column int) *float64, note string) *Map {
	title, unit, decimals := s.LayerText(of, s.Units)
	height := math.Max(120, leastRowHeight*float64(f.Rows))
	v := &Map{
		Title: strings.ToUpper(title[:1]) + title[1:] + ", " + unit, Note: note, Left: unrolledLeft, Right: unrolledRight, Top: unrolledTop, Unit: s.Units.Set().Length,
		Width: 760, Height: coord(unrolledTop + height + 46), Bottom: coord(unrolledTop + height),
		PlotWidth: unrolledRight - unrolledLeft, PlotHeight: coord(height), classes: c,
	}
	y := func(row float64) float64 { return unrolledTop + row/float64(f.Rows)*height }
	v.shade(f, y)
	length := depthOf(s, s.Wall.Bore.Length)
	v.Pins, v.Extra = wallPins(s, Placed(s), unrolledTop+height, func(depth float64) float64 { return unrolledTop + depth/length*height })
	v.number(f, y, value, min(decimals, 2))
	for _, g := range s.Wall.Deposit.Gaps {
		v.Gaps = append(v.Gaps, bands(g)...)
	}
	v.scales(f, y, v.Unit)
	v.Summary = fmt.Sprintf("The wall unrolled, angle across and depth down: %s.", v.Title)
	return v
}

// shade puts each field into its class.
func (v *Map) shade(f sheet.Fields, y func(float64) float64) {
	v.Shades = v.classes.shades()
	for row := range f.Rows {
		for column := range f.Columns {
			class := v.classes.of(row, column)
			if class < 0 {
				continue
			}
			left, right := acrossOf(float64(column)*float64(f.M.AngleStep)), acrossOf(float64(column+1)*float64(f.M.AngleStep))
			v.Shades[class].Path += fmt.Sprintf("M%s %sH%sV%sH%sZ", coord(left), coord(y(float64(row))), coord(right), coord(y(float64(row+1))), coord(left))
		}
	}
}

// number prints the value of each block of fields, in the middle of those of its
// columns that are judged, where no finding stands.
func (v *Map) number(f sheet.Fields, y func(float64) float64, value func(sheet.Fields) func(row, column int) *float64, decimals int) {
	blocks := sheet.Fields{M: f.M, Across: numberAcross, Down: f.Down, Columns: f.M.Columns / numberAcross, Rows: f.Rows}
	of := value(blocks)
	for column := range blocks.Columns {
		sum, judged := 0.0, 0
		for c := column * numberAcross; c < (column+1)*numberAcross; c++ {
			if !f.M.BesideGap(c) {
				sum, judged = sum+float64(c)+0.5, judged+1
			}
		}
		if judged < 2 {
			continue // no room for a figure
		}
		x := acrossOf(sum / float64(judged) * float64(f.M.AngleStep))
		for row := range blocks.Rows {
			middle := (y(float64(row)) + y(float64(row+1))) / 2
			if least := of(row, column); least != nil && !v.pinned(x, middle) {
				v.Numbers = append(v.Numbers, mapNumber{coord(x), coord(middle + 4), sheet.Digits(least, decimals)})
			}
		}
	}
}

// pinned reports whether a finding stands where a number would.
func (v *Map) pinned(x, y float64) bool {
	for _, p := range v.Pins {
		if math.Abs(x-float64(p.X)) < 26 && math.Abs(y+4-float64(p.Y)) < 19 {
			return true
		}
	}
	return false
}

func (v *Map) scales(f sheet.Fields, y func(float64) float64, unit string) {
	for angle := 0; angle <= 360; angle += 30 {
		v.Angles = append(v.Angles, tick{coord(acrossOf(float64(angle))), fmt.Sprintf("%d°", angle)})
	}
	length := quantity.In(f.M.Bore.Length, unit)
	rows := float64(f.M.Bore.Length/f.M.DepthStep) / float64(f.Down)
	v.Depths = depthTicks(length, func(depth float64) float64 { return y(depth / length * rows) })
}
