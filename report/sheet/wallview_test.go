package sheet_test

import (
	"bytes"
	"encoding/json"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
)

// heated is the invented wall with a heat input of its own in each cell, in kJ/mm, of one layer.
func heated(of func(at int) float64) *sheet.Sheet {
	return sheettest.Mapped(func(in *sheet.Input) {
		cells := in.Result.Map.Layers[0].Cells
		for at := range cells {
			cells[at] = bore.Cell{ArcTime: 0.66, Path: 0.004, Energy: quantity.Joules(of(at) * 4 / 0.8 * 1000)}
		}
	})
}

func viewOf(views []*sheet.WallView, of sheet.MapLayer, number int) *sheet.WallView {
	return views[slices.IndexFunc(views, func(v *sheet.WallView) bool { return v.Of == of && v.Number == number })]
}

func classesOf(v *sheet.WallView) map[sheet.WallClass]int {
	count := map[sheet.WallClass]int{}
	for _, c := range v.Classes {
		count[c]++
	}
	return count
}

// A value changes its class exactly at the limit, whatever the guard.
func TestWallLimits_Class(t *testing.T) {
	low, high := 0.25e6, 0.55e6
	both := sheet.WallLimits{Low: &low, High: &high}
	for _, c := range []struct {
		v, guard float64
		want     sheet.WallClass
	}{
		{low, 0, sheet.WallWithin},
		{math.Nextafter(low, 0), 0, sheet.WallLow},
		{high, 0, sheet.WallWithin},
		{math.Nextafter(high, 1e9), 0, sheet.WallHigh},
		{low, 1e4, sheet.WallNear},
		{math.Nextafter(low, 0), 1e4, sheet.WallLow},
		{high, 1e4, sheet.WallNear},
		{math.Nextafter(high, 1e9), 1e4, sheet.WallHigh},
		{low + 1e4, 1e4, sheet.WallWithin},
		{high - 1e4, 1e4, sheet.WallWithin},
		{0.4e6, 1e6, sheet.WallNear},
	} {
		assert.Equal(t, string(c.want), string(both.Class(c.v, c.guard)), "%v by %v", c.v, c.guard)
	}
	assert.Equal(t, string(sheet.WallHigh), string(sheet.WallLimits{High: &high}.Class(1e6, 0)))
	assert.Equal(t, string(sheet.WallWithin), string(sheet.WallLimits{High: &high}.Class(-1e6, 0)))
}

// Noise of a hundredth in the middle of the window is one colour.
func TestWallViews_NoiseIsOneColour(t *testing.T) {
	s := heated(func(at int) float64 { return 0.4 * (1 + 0.01*math.Sin(float64(at))) })
	v := viewOf(s.WallViews(0), sheet.HeatLayer, 0)
	count := classesOf(v)
	require.Len(t, count, 3, "within, the gap, and its edge")
	assert.Greater(t, count[sheet.WallWithin], 1000)

	// the same of a quantity without limits: what a layer added
	even := sheettest.Mapped(func(in *sheet.Input) {
		for at := range in.Result.Map.Layers[0].Cells {
			in.Result.Map.Layers[0].Cells[at] = bore.Cell{ArcTime: 1, Volume: 27e-9 * (1 + 0.01*math.Sin(float64(at)))}
		}
	})
	count = classesOf(viewOf(even.WallViews(0), sheet.BuildUpLayer, 1))
	delete(count, sheet.WallBeside)
	delete(count, sheet.WallGap)
	require.Len(t, count, 1)
	require.Contains(t, count, sheet.WallFirstStep+2, "in the middle of the scale")
}

func TestWallViews_Heat(t *testing.T) {
	s := heated(func(at int) float64 { return []float64{0.249999, 0.25, 0.4, 0.55, 0.550001}[at%5] })
	v := viewOf(s.WallViews(0), sheet.HeatLayer, 1)
	for at, c := range v.Classes {
		if c != sheet.WallGap && c != sheet.WallBeside {
			require.Equal(t, string("lnwnh"[at%5]), string(c))
		}
	}
	var words []string
	for _, key := range v.Keys(sheet.US) {
		words = append(words, key.Words)
	}
	assert.Equal(t, []string{
		"below 6.35 kJ/in", "above 13.97 kJ/in", "within, closer to a limit than the guard band", "within 6.35 to 13.97 kJ/in",
		"at the edge of a planned gap: not judged", "planned gap",
	}, words)
}

// Of all layers a cell shows the worst; a layer that has not come there yet says nothing.
func TestWallViews_WorstOfAllLayers(t *testing.T) {
	s := sheettest.Mapped(func(in *sheet.Input) {
		m := in.Result.Map
		heat := func(kj float64) bore.Cell {
			return bore.Cell{ArcTime: 0.66, Path: 0.004, Energy: quantity.Joules(kj * 5000)}
		}
		m.Layers = []bore.Layer{{Number: 1, Cells: make([]bore.Cell, len(m.Cells))}, {Number: 2, Cells: make([]bore.Cell, len(m.Cells))}}
		m.Layers[0].Cells[0], m.Layers[1].Cells[0] = heat(0.4), heat(0.6)
		m.Layers[0].Cells[1], m.Layers[1].Cells[1] = heat(0.2), heat(0.1)
		m.Layers[0].Cells[2] = heat(0.4)
		m.Layers[0].Cells[3], m.Layers[1].Cells[3] = heat(0.4), bore.Cell{Off: 0.6}
		m.Layers[0].Cells[4], m.Layers[1].Cells[4] = heat(0.54), heat(0.45)
	})
	views := s.WallViews(0)
	all := viewOf(views, sheet.HeatLayer, 0)
	assert.Equal(t, "hlw?n?", string([]byte{byte(all.Classes[0]), byte(all.Classes[1]), byte(all.Classes[2]), byte(all.Classes[3]), byte(all.Classes[4]), byte(all.Classes[5])}))
	assert.InDelta(t, 0.1e6, *all.Values[1], 1e-6)
	on := viewOf(views, sheet.ArcOnLayer, 0)
	assert.Equal(t, string(sheet.WallLow), string(on.Classes[3]), "the arc was out over it in the second layer")
	assert.Zero(t, *on.Values[3])
	assert.Equal(t, string(sheet.WallWithin), string(on.Classes[2]))
	assert.Equal(t, string(sheet.WallUnknown), string(on.Classes[5]), "nothing was laid there, and nothing is known")
}

func TestWallViews_BuildUp(t *testing.T) {
	s := sheettest.Mapped(nil)
	needed := s.WallViews(bore.DefaultEccentricity)[0]
	require.Equal(t, string(sheet.WallLow), string(needed.Classes[3*72+50]), "nothing lies there")
	require.Equal(t, string(sheet.WallUnknown), string(needed.Classes[8*72+50]), "data is missing, and nobody knows")
	title, unit := needed.Text(sheet.US)
	assert.Equal(t, "Metal over the finish diameter, all layers", title)
	assert.Equal(t, "in", unit.Name)
	// A need of just what lies there is met, and of a hair more is not: at the limit as it is printed or not.
	at := 0
	there := *needed.Values[at]
	met := s.WallViews(quantity.Metres(there))[0]
	assert.Equal(t, string(sheet.WallNear), string(met.Classes[at]))
	missed := s.WallViews(quantity.Metres(math.Nextafter(there, 1)))[0]
	assert.Equal(t, string(sheet.WallLow), string(missed.Classes[at]))

	worn := sheettest.Mapped(func(in *sheet.Input) { in.Result.Map.Bore.FinishDiameter = 0 }).WallViews(0)[0]
	title, _ = worn.Text(sheet.Metric)
	assert.Equal(t, "Metal on the worn wall, all layers", title)
	assert.Equal(t, string(sheet.WallUnknown), string(worn.Classes[8*72+50]))
	none := sheettest.Mapped(func(in *sheet.Input) { in.Result.Map.WireMeasured = 0 }).WallViews(0)
	for _, v := range none[:2] {
		assert.Zero(t, classesOf(v)[sheet.WallWithin], "no wire is known: no metal is")
	}
}

// What a page is given are the classes and words of the paper.
func TestMapJSON_Views(t *testing.T) {
	s := sheettest.Mapped(nil)
	var text bytes.Buffer
	require.NoError(t, s.MapJSON(&text, bore.DefaultEccentricity))
	var o sheet.MapObject
	require.NoError(t, json.Unmarshal(text.Bytes(), &o))
	views := s.WallViews(bore.DefaultEccentricity)
	require.Len(t, o.Views, len(views))
	painted := s.Review().Map
	require.Len(t, painted.Views, len(views)+1, "and where findings begin")
	for k, v := range views {
		got := o.Views[k]
		require.Len(t, got.Values, o.Columns*o.Rows)
		assert.Equal(t, sheet.MapLook{Of: got.Of, Layer: got.Layer, Title: got.Title, Unit: got.Unit, Low: got.Low, High: got.High, Classes: got.Classes, Keys: got.Keys}, painted.Views[k])
		for at, c := range v.Classes {
			require.Equal(t, byte(c), got.Classes[at])
			require.Equal(t, v.Values[at] == nil, got.Values[at] == nil)
		}
		us := v.Keys(sheet.US)
		require.Len(t, got.Keys, len(us))
		for i, key := range v.Keys(sheet.Metric) {
			assert.Equal(t, sheet.MapKey{Class: string(rune(key.Class)), Metric: key.Words, US: us[i].Words}, got.Keys[i])
			assert.NotEmpty(t, key.Words)
		}
	}
}
