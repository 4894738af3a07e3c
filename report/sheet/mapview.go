package sheet

import (
	"fmt"
	"math"
	"strings"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
)

// cleanView says whether the bore will clean up.
type cleanView struct {
	Answer   string
	Places   []mapPlaces
	Cautions []string
}

// mapView is one layer of the unrolled map, ready to draw.
type mapView struct {
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

// mapPlaces is a list of places under its head.
type mapPlaces struct {
	Head  string
	Lines []string
}

func placesUnder(list []mapPlaces, head string, lines []string) []mapPlaces {
	if len(lines) == 0 {
		return list
	}
	if n := len(lines); n > patchesShown {
		lines = append(lines[:patchesShown:patchesShown], fmt.Sprintf("and at %d more places; all are in the JSON of the map", n-patchesShown))
	}
	return append(list, mapPlaces{head, lines})
}

type mapNumber struct {
	X, Y coord
	Text string
}

// The drawing: 72 columns, no more rows than this, a number to a block of 6 columns.
const (
	mapRows        = 40
	numberAcross   = 6
	leastRowHeight = 15.0
	mapShades      = 5
)

// cleanView is nil where there is no map.
func (s *Sheet) cleanView() *cleanView {
	if s.wall == nil {
		return nil
	}
	clean := s.wall.CleanUp(s.wall.NewAllowance(bore.DefaultEccentricity))
	answer, missing, unseen := cleanUpLines(clean, s.units)
	return &cleanView{
		Answer: answer, Places: placesUnder(placesUnder(nil, shortHead, missing), unseenHead, unseen),
		Cautions: mapCautions(s.wall, clean, s.units),
	}
}

// mapViews are the drawings of the map, none where there is no map.
func (s *Sheet) mapViews() (views []*mapView) {
	if s.wall == nil {
		return nil
	}
	f := coarse(s.wall, 1, mapRows)
	set := s.units.set()
	clean := s.wall.CleanUp(s.wall.NewAllowance(bore.DefaultEccentricity))
	least := func(f fields) func(row, column int) *float64 {
		return func(row, column int) *float64 { return in(f.least(row, column, stockOf(f.m)), set.bore) }
	}
	views = append(views, s.layerView(StockLayer, f, newStockClasses(f, clean, set.bore, set.boreDigits), least,
		"A number is the least of 30° around it. White beside the hatched gap: too near to be judged."))
	for _, of := range []MapLayer{HeatLayer, ArcLayer} {
		_, unit, decimals := s.layerText(of, s.units)
		window := limits{}
		if of == HeatLayer {
			window = windowOf(s.job.Procedure.Limits.HeatInput, unit)
		}
		value := func(f fields) func(row, column int) *float64 {
			return func(row, column int) *float64 { return s.fieldValue(f, of, row, column, unit) }
		}
		views = append(views, s.layerView(of, f, newValueClasses(f, unit, decimals, window, value(f)), value,
			fmt.Sprintf("A number is the mean of 30° around it; a field is %.0f° by %s.", float64(s.wall.AngleStep),
				quantity.Text(quantity.Metres(f.down)*s.wall.DepthStep, set.length, set.depth))))
	}
	return views
}

// fieldValue is a layer of a field; arc-on time is the mean of its cells.
func (s *Sheet) fieldValue(f fields, of MapLayer, row, column int, unit string) *float64 {
	sum, cells := f.sum(row, column)
	switch {
	case cells == 0 || sum.ArcTime <= 0:
		return nil
	case of == HeatLayer:
		return in(s.heatOf(sum), unit)
	default:
		return known(float64(sum.ArcTime) / float64(cells))
	}
}

// layerView draws one layer.
func (s *Sheet) layerView(of MapLayer, f fields, c classes, value func(fields) func(row, column int) *float64, note string) *mapView {
	title, unit, decimals := s.layerText(of, s.units)
	height := math.Max(120, leastRowHeight*float64(f.rows))
	v := &mapView{
		Title: strings.ToUpper(title[:1]) + title[1:] + ", " + unit, Note: note, Left: unrolledLeft, Right: unrolledRight, Top: unrolledTop, Unit: s.units.set().length,
		Width: 760, Height: coord(unrolledTop + height + 46), Bottom: coord(unrolledTop + height),
		PlotWidth: unrolledRight - unrolledLeft, PlotHeight: coord(height), classes: c,
	}
	y := func(row float64) float64 { return unrolledTop + row/float64(f.rows)*height }
	v.shade(f, y)
	length := s.depthOf(s.wall.Bore.Length)
	v.Pins, v.Extra = s.wallPins(s.placed(), unrolledTop+height, func(depth float64) float64 { return unrolledTop + depth/length*height })
	v.number(f, y, value, min(decimals, 2))
	for _, g := range s.wall.Deposit.Gaps {
		v.Gaps = append(v.Gaps, bands(g)...)
	}
	v.scales(f, y, v.Unit)
	v.Summary = fmt.Sprintf("The wall unrolled, angle across and depth down: %s.", v.Title)
	return v
}

// shade puts each field into its class.
func (v *mapView) shade(f fields, y func(float64) float64) {
	v.Shades = v.classes.shades()
	for row := range f.rows {
		for column := range f.columns {
			class := v.classes.of(row, column)
			if class < 0 {
				continue
			}
			left, right := acrossOf(float64(column)*float64(f.m.AngleStep)), acrossOf(float64(column+1)*float64(f.m.AngleStep))
			v.Shades[class].Path += fmt.Sprintf("M%s %sH%sV%sH%sZ", coord(left), coord(y(float64(row))), coord(right), coord(y(float64(row+1))), coord(left))
		}
	}
}

// number prints the value of each block of fields, in the middle of those of its
// columns that are judged, where no finding stands.
func (v *mapView) number(f fields, y func(float64) float64, value func(fields) func(row, column int) *float64, decimals int) {
	blocks := fields{m: f.m, across: numberAcross, down: f.down, columns: f.m.Columns / numberAcross, rows: f.rows}
	of := value(blocks)
	for column := range blocks.columns {
		sum, judged := 0.0, 0
		for c := column * numberAcross; c < (column+1)*numberAcross; c++ {
			if !f.m.BesideGap(c) {
				sum, judged = sum+float64(c)+0.5, judged+1
			}
		}
		if judged < 2 {
			continue // no room for a figure
		}
		x := acrossOf(sum / float64(judged) * float64(f.m.AngleStep))
		for row := range blocks.rows {
			middle := (y(float64(row)) + y(float64(row+1))) / 2
			if least := of(row, column); least != nil && !v.pinned(x, middle) {
				v.Numbers = append(v.Numbers, mapNumber{coord(x), coord(middle + 4), digits(least, decimals)})
			}
		}
	}
}

// pinned reports whether a finding stands where a number would.
func (v *mapView) pinned(x, y float64) bool {
	for _, p := range v.Pins {
		if math.Abs(x-float64(p.X)) < 26 && math.Abs(y+4-float64(p.Y)) < 19 {
			return true
		}
	}
	return false
}

func (v *mapView) scales(f fields, y func(float64) float64, unit string) {
	for angle := 0; angle <= 360; angle += 30 {
		v.Angles = append(v.Angles, tick{coord(acrossOf(float64(angle))), fmt.Sprintf("%d°", angle)})
	}
	length := quantity.In(f.m.Bore.Length, unit)
	rows := float64(f.m.Bore.Length/f.m.DepthStep) / float64(f.down)
	v.Depths = depthTicks(length, func(depth float64) float64 { return y(depth / length * rows) })
}
