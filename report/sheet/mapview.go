package sheet

import (
	"fmt"
	"math"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
)

// mapView is the unrolled map of the weld record, ready to print.
type mapView struct {
	Answer         string
	Places         []mapPlaces
	Cautions       []string
	Title, Summary string
	Width, Height  coord
	Left, Right    coord
	Top, Bottom    coord
	PlotWidth      coord
	PlotHeight     coord
	Shades         []shade
	Gaps           []band
	Numbers        []mapNumber
	Angles, Depths []tick
}

// shade is a class of cells: one outline for all of them.
type shade struct {
	Class, Words, Path string
	Key                string // a sample of it
}

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
	mapShades      = 4
)

// mapView is nil where there is no map.
func (s *Sheet) mapView() *mapView {
	if s.wall == nil {
		return nil
	}
	m := s.wall
	clean := m.CleanUp(m.NewAllowance(bore.DefaultEccentricity))
	v := &mapView{Title: stockTitle(m), Left: unrolledLeft, Right: unrolledRight, Top: unrolledTop, Cautions: mapCautions(m, clean)}
	var missing, unseen []string
	v.Answer, missing, unseen = cleanUpLines(clean)
	v.Places = placesUnder(placesUnder(nil, shortHead, missing), unseenHead, unseen)
	f := coarse(m, 1, mapRows)
	height := math.Max(120, leastRowHeight*float64(f.rows))
	v.Width, v.Height, v.Bottom = 760, coord(unrolledTop+height+46), coord(unrolledTop+height)
	v.PlotWidth, v.PlotHeight = unrolledRight-unrolledLeft, coord(height)
	y := func(row float64) float64 { return unrolledTop + row/float64(f.rows)*height }
	v.shade(f, y, clean)
	v.number(m, f, y)
	for _, g := range m.Deposit.Gaps {
		v.Gaps = append(v.Gaps, bands(g)...)
	}
	v.scales(f, y)
	v.Summary = fmt.Sprintf("The wall unrolled, angle across and depth down: %s. %s", v.Title, v.Answer)
	return v
}

// shade puts each field into a class by the worst of its cells: too little, closer
// than can be told, or one of a few steps above.
func (v *mapView) shade(f fields, y func(float64) float64, clean bore.CleanUp) {
	classes := newStockClasses(f, clean)
	v.Shades = classes.shades()
	for row := range f.rows {
		for column := range f.columns {
			class := classes.of(f, row, column)
			if class < 0 {
				continue
			}
			left, right := acrossOf(float64(column)*float64(f.m.AngleStep)), acrossOf(float64(column+1)*float64(f.m.AngleStep))
			v.Shades[class].Path += fmt.Sprintf("M%s %sH%sV%sH%sZ", coord(left), coord(y(float64(row))), coord(right), coord(y(float64(row+1))), coord(left))
		}
	}
}

// The classes that are no step of stock.
const (
	shortClass = iota
	doubtfulClass
	unseenClass
	firstStep
)

// stockClasses sort fields into shades.
type stockClasses struct {
	judged    bool
	allowance bore.Allowance
	low, step float64 // of the steps, m
}

func newStockClasses(f fields, clean bore.CleanUp) stockClasses {
	c := stockClasses{judged: clean.Answer != "", allowance: f.m.NewAllowance(clean.Eccentricity)}
	low, high := math.Inf(1), math.Inf(-1)
	for row := range f.rows {
		for column := range f.columns {
			class := c.answered(f, row, column)
			if least := f.least(row, column, stockOf(f.m)); least != nil && class == firstStep {
				low, high = math.Min(low, float64(*least)), math.Max(high, float64(*least))
			}
		}
	}
	if low > high {
		low, high = 0, 0
	}
	c.step = roundStep(math.Max(high-low, 1e-5) / mapShades)
	c.low = math.Floor(low/c.step) * c.step
	return c
}

// of returns the class of a field, -1 where there is nothing to show.
func (c stockClasses) of(f fields, row, column int) int {
	class, least := c.answered(f, row, column), f.least(row, column, stockOf(f.m))
	switch {
	case class != firstStep:
		return class
	case least == nil:
		return -1
	default:
		return firstStep + max(0, min(mapShades, int((float64(*least)-c.low)/c.step)))
	}
}

// answered returns the class by the worst answer of the cells that are judged.
func (c stockClasses) answered(f fields, row, column int) int {
	class := firstStep
	if f.notSeen(row, column) {
		class = unseenClass
	}
	if !c.judged {
		return class
	}
	f.each(row, column, func(r, col int) {
		if f.m.BesideGap(col) || f.m.At(r, col).NotSeen() {
			return
		}
		switch f.m.CellAnswer(r, col, c.allowance) {
		case bore.TooLittle:
			class = shortClass
		case bore.Doubtful:
			class = min(class, doubtfulClass)
		}
	})
	return class
}

// shades are all classes with their words; the template leaves those out that
// nothing is in.
func (c stockClasses) shades() []shade {
	mm := func(v float64) string { return quantity.Text(quantity.Metres(v), "mm", 2) }
	const key = "M0 0H30V20H0Z"
	list := []shade{
		shortClass:    {Class: "short", Words: "too little", Key: key},
		doubtfulClass: {Class: "doubtful", Words: "closer than can be told", Key: key},
		unseenClass:   {Class: "unseen", Words: "data is missing", Key: key},
	}
	for k := range mapShades + 1 {
		from := c.low + float64(k)*c.step
		words := "from " + mm(from)
		if k < mapShades {
			words += " to " + mm(from+c.step)
		}
		list = append(list, shade{Class: fmt.Sprintf("shade%d", k), Words: words, Key: key})
	}
	return list
}

// number prints the least value of each block of fields, in mm, in the middle of
// those of its columns that are judged.
func (v *mapView) number(m *bore.Map, f fields, y func(float64) float64) {
	blocks := fields{m: m, across: numberAcross, down: f.down, columns: m.Columns / numberAcross, rows: f.rows}
	for column := range blocks.columns {
		sum, judged := 0.0, 0
		for c := column * numberAcross; c < (column+1)*numberAcross; c++ {
			if !m.BesideGap(c) {
				sum, judged = sum+float64(c)+0.5, judged+1
			}
		}
		if judged < 2 {
			continue // no room for a figure
		}
		x := acrossOf(sum / float64(judged) * float64(m.AngleStep))
		for row := range blocks.rows {
			if least := blocks.least(row, column, stockOf(m)); least != nil {
				v.Numbers = append(v.Numbers, mapNumber{coord(x), coord((y(float64(row)) + y(float64(row+1))) / 2), digits(in(least, "mm"), 1)})
			}
		}
	}
}

func (v *mapView) scales(f fields, y func(float64) float64) {
	for angle := 0; angle <= 360; angle += 30 {
		v.Angles = append(v.Angles, tick{coord(acrossOf(float64(angle))), fmt.Sprintf("%d°", angle)})
	}
	every := max(1, f.rows/8)
	for row := 0; row <= f.rows; row += every {
		depth := min(quantity.Metres(row*f.down)*f.m.DepthStep, f.m.Bore.Length)
		v.Depths = append(v.Depths, tick{coord(y(float64(row))), digits(in(&depth, "mm"), 0)})
	}
}
