package draw

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/analyze/bore"
	"arctally/analyze/compare"
	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
)

func TestSVG_Shapes(t *testing.T) {
	d := square10(
		Circle{Class: "c", X: tenth(1), Y: tenth(2.55), R: tenth(3)}, Circle{Open: true, X: whole(1), Y: whole(2), R: whole(3)},
		Rect{Class: "r", X: tenth(0), Y: tenth(0), Width: whole(4), Height: whole(5)}, Rect{Width: whole(4), Height: whole(5)},
		Path{Class: "p", Title: "<b>", Outline: Outline{}.move(whole(1), whole(2))},
		Label{X: whole(1), Y: whole(2), Words: "a&b"}, Label{Class: "l", Title: "t", X: whole(1), DX: whole(-2), Y: whole(3), DY: whole(4), Words: "w"},
		Label{X: whole(1), DX: whole(-2), Y: whole(3)}, Label{X: whole(1), Y: whole(3), DY: tenth(-5)},
	)
	assert.Equal(t, `<svg viewBox="0 0 10 10" aria-hidden="true">`+
		`<circle cx="1.0" cy="2.5" r="3.0" class="c"/><circle cx="1" cy="2" r="3" fill="none"/>`+
		`<rect x="0.0" y="0.0" width="4" height="5" class="r"/><rect width="4" height="5"/>`+
		`<path d="M1 2" class="p"><title>&lt;b&gt;</title></path>`+
		`<text x="1" y="2">a&amp;b</text><text x="1" dx="-2" y="3" dy="4" class="l">w<title>t</title></text>`+
		`<text x="1" y="3" dx="-2"></text><text x="1" y="3" dy="-5.0"></text></svg>`, string(d.SVG()))
}

func TestSVG_ADrawingHasWordsAndALineToALayer(t *testing.T) {
	d := &Drawing{Box: Box{Width: tenth(3), Height: tenth(4)}, Words: `what it "shows"`}
	d.add(Circle{R: whole(1)})
	d.add()
	assert.Equal(t, "<svg viewBox=\"0 0 3.0 4.0\" role=\"img\" aria-label=\"what it &#34;shows&#34;\">\n<circle cx=\"0\" cy=\"0\" r=\"1\"/>\n\n</svg>", string(d.SVG()))
	assert.Contains(t, string(Sign(sheet.SignNear).SVG()), `<svg class="sign near" viewBox="0 0 20 20" aria-hidden="true"><path d="M2.5 10a7.5 7.5 0 1 0 15 0a7.5 7.5 0 1 0 -15 0Z"/></svg>`)
}

// Both renderers show the same number: what the text says is what is painted.
func TestNumber(t *testing.T) {
	for _, c := range []struct {
		v    float64
		text string
	}{
		{0, "0.0"}, {-0.04, "0.0"}, {-0.06, "-0.1"}, {0.25, "0.2"}, {0.15, "0.1"}, {2.5, "2.5"}, {-12.34, "-12.3"}, {1e9, "1000000.0"}, {-1e9, "-1000000.0"},
	} {
		n := tenth(c.v)
		assert.Equal(t, c.text, n.String())
		assert.InDelta(t, math.Max(-farthest, math.Min(farthest, c.v)), n.value(), 0.0501)
	}
	assert.Equal(t, "0.0", tenth(math.NaN()).String())
	assert.Equal(t, "-6", whole(-6).String())
	assert.Equal(t, -6.0, whole(-6).value())
	assert.Equal(t, 0.3, tenth(0.3).value())
}

// The drawings of invented jobs, to the last digit.
func TestDrawingsGolden(t *testing.T) {
	s, mapped := sheettest.New(), sheettest.Mapped(nil)
	drawings := map[string]*Drawing{
		"glyph": Glyph(s), "end": End(s).Drawing, "wall": Wall(s, sheet.US).Drawing, "heat": Heat(s, sheet.Metric).Drawing,
		"angle": Angles(sheettest.BySweep())[0].Drawing, "compared": Comparison(sheettest.Comparison(compare.Turns), sheet.Metric)[0].Drawing,
		"compared-time": Comparison(sheettest.Comparison(compare.ArcTime), sheet.Metric)[1].Drawing,
	}
	for k, f := range Charts(s, sheet.Metric) {
		drawings["chart-"+[]string{"arc-on", "voltage", "current", "travel"}[k]] = f.Drawing
	}
	for k, f := range Maps(mapped, sheet.Metric) {
		drawings["map-"+[]string{"stock", "heat", "arc-on"}[k]] = f.Drawing
	}
	for name, d := range drawings {
		t.Run(name, func(t *testing.T) { sheettest.Golden(t, name+".svg", string(d.SVG())+"\n") })
	}
}

func TestFigures_SayWhatFoundNoRoom(t *testing.T) {
	s := sheet.New(sheettest.Long())
	for where, f := range map[string]Figure{"angles": End(s), "places": Wall(s, sheet.Metric)} {
		marked := strings.Count(string(f.Drawing.SVG()), `class="lead"`)
		assert.Greater(t, marked, 50)
		assert.Equal(t, fmt.Sprintf("%d events more at %s already marked: see the list.", len(placed(s))-marked, where), f.Extra)
	}
	assert.Empty(t, End(sheettest.New()).Extra)
}

func TestMaps_Keys(t *testing.T) {
	figures := Maps(sheettest.Mapped(nil), sheet.US)
	require.Len(t, figures, 3)
	var words []string
	for _, key := range figures[0].Keys {
		words = append(words, key.Words)
	}
	assert.Equal(t, []string{"below 0.010 in", "within: at least 0.010 in", "not known: no data, or nothing laid", "at the edge of a planned gap: not judged"}, words, "a class without a field has no key")
	assert.Equal(t, "Metal over the finish diameter, all layers, in", figures[0].Title)
	assert.Equal(t, "Heat input Q = k*E, the worst of all layers, kJ/in", figures[1].Title)
	assert.Equal(t, "Arc-on ratio, the worst of all layers", figures[2].Title)
	assert.Nil(t, Maps(sheettest.New(), sheet.Metric), "no map")
}

// A gap over the reference mark is cut in two where the wall is.
func TestWall_GapOverTheReferenceMark(t *testing.T) {
	f := newFlat(100, "mm")
	f.gaps([]bore.Gap{{From: 350, To: 10}, {From: 20, To: 30}})
	var at []string
	for _, shape := range f.Layers[0] {
		r := shape.(Rect)
		at = append(at, r.X.String()+"+"+r.Width.String())
	}
	assert.Equal(t, []string{"723.1+18.9", "62.0+18.9", "99.8+18.9"}, at)
}

func TestCharts_NothingKnown(t *testing.T) {
	s := sheet.New(sheet.Input{Job: sheettest.Job()})
	assert.Nil(t, Heat(s, sheet.Metric))
	assert.Empty(t, Charts(s, sheet.Metric))
}

// A field of several rows shows the worst of them, as a cell of the page does.
func TestMaps_WorstOfAField(t *testing.T) {
	s := sheettest.Mapped(nil)
	v := s.WallViews(bore.DefaultEccentricity)[0]
	f := newWallFields(s.Wall, v)
	f.down, f.rows = 5, 4
	at := f.worst(0, 50, 1, false)
	assert.Equal(t, 3, at/72, "where nothing lies")
	assert.Equal(t, string(sheet.WallLow), string(v.Classes[at]))
	assert.Equal(t, string(sheet.WallUnknown), string(v.Classes[f.worst(1, 50, 1, false)]), "data is missing in one of five")
	assert.Equal(t, 50, f.worst(0, 48, 6, true)%72)
	assert.Equal(t, -1, f.worst(0, 18, 2, true), "in a planned gap nothing is judged")
}

// Every class of the wall has a look of its own, and no two of them are alike on paper.
func TestMaps_ClassesLookApart(t *testing.T) {
	css, err := os.ReadFile("../paper/template/style.css")
	require.NoError(t, err)
	style := ParseStyle(string(css))
	seen := map[string]sheet.WallClass{}
	for class, name := range cellsClass {
		fill := style.element("path", "", "cells "+name).value("fill")
		require.NotEmpty(t, fill, name)
		if hatch, ok := hatchName(fill); ok {
			require.Contains(t, hatches, hatch)
		}
		require.NotContains(t, seen, fill, "%c", class)
		seen[fill] = class
	}
}
