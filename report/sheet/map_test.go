package sheet

import (
	"encoding/json"
	"io"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/analyze/bore"
	"arctally/analyze/procedure"
)

// inventedMap has one even layer with a hole in it, and a patch without data.
func inventedMap() *bore.Map {
	job := inventedJob()
	m := bore.NewMap(job.Bore, job.Deposit)
	m.WireMeasured = 78.7
	for k := range m.Cells {
		share := m.WeldedShare(k % m.Columns)
		m.Cells[k] = bore.Cell{Energy: 1400, ArcTime: 0.66, Path: 0.004, Volume: 27e-9}
		if share < 1 {
			m.Cells[k] = bore.Cell{Energy: 10, ArcTime: 0.01}
		}
	}
	for column := 50; column < 53; column++ {
		m.At(3, column).Volume = 0
		m.At(8, column).Volume, m.At(8, column).Unseen = 0, 0.66
	}
	m.Beyond = bore.Cell{Energy: 500, ArcTime: 0.2, Volume: 1e-9}
	return m
}

func mapped(change func(*Input)) *Sheet {
	in := inventedInput()
	in.Result.Map = inventedMap()
	if change != nil {
		change(&in)
	}
	return New(in)
}

func TestMapGolden(t *testing.T) {
	s := mapped(nil)
	for name, write := range map[string]func(io.Writer) error{
		"map-stock.txt":   func(w io.Writer) error { return s.MapTable(w, StockLayer, Metric, bore.DefaultEccentricity) },
		"map-heat-us.txt": func(w io.Writer) error { return s.MapTable(w, HeatLayer, US, bore.DefaultEccentricity) },
	} {
		t.Run(name, func(t *testing.T) { golden(t, name, render(t, write)) })
	}
}

func TestMapSectionGolden(t *testing.T) {
	s := mapped(nil)
	golden(t, "map-section.html", render(t, func(w io.Writer) error {
		return weldRecord.ExecuteTemplate(w, "map.html", recordView{Maps: s.mapViews(), Clean: s.cleanView(), MapNote: mapNote})
	}))
}

func TestMapJSON(t *testing.T) {
	var o MapObject
	require.NoError(t, json.Unmarshal([]byte(render(t, func(w io.Writer) error { return mapped(nil).MapJSON(w, 0) })), &o))
	require.Len(t, o.Cells, o.Columns*o.Rows)
	cell := o.Cells[2*o.Columns+10]
	assert.InDelta(t, 50, cell.Angle, 1e-12)
	assert.InDelta(t, 6, cell.Depth, 1e-12)
	assert.InDelta(t, 0.35, *cell.ArcEnergy, 1e-12)
	assert.InDelta(t, 0.28, *cell.HeatInput, 1e-12)
	assert.InDelta(t, 27, *cell.Volume, 1e-9)
	assert.InDelta(t, *cell.Height-1, *cell.Stock, 1e-9)
	assert.Equal(t, "too little", *o.CleanUp.Answer)
	require.Len(t, o.CleanUp.Short, 1)
	assert.InDelta(t, 250, o.CleanUp.Short[0].FromAngle, 1e-12)
	assert.InDelta(t, 265, o.CleanUp.Short[0].ToAngle, 1e-12)
	require.Len(t, o.CleanUp.Unseen, 1)
	assert.InDelta(t, 1, *o.Beyond.Volume, 1e-9)
}

func TestMapOfLittleKnowledge(t *testing.T) {
	for want, change := range map[string]func(*Input){
		"the finish diameter is not declared": func(in *Input) { in.Result.Map.Bore.FinishDiameter = 0 },
		"neither the wire that was fed":       func(in *Input) { in.Result.Map.WireMeasured = 0 },
		"set-point of the wire speed":         func(in *Input) { in.Result.Map.WireMeasured, in.Result.Map.WireDeclared = 0, 70 },
		"which nobody measured":               func(in *Input) { in.Result.Map.WireDeclared = 70 },
	} {
		s := mapped(change)
		assert.Contains(t, render(t, func(w io.Writer) error { return s.MapTable(w, StockLayer, Metric, 0) }), want)
		html := render(t, s.HTML)
		wellFormed(t, html)
		assert.Contains(t, html, want)
		assert.NotContains(t, html, "NaN")
	}
}

func TestMapIsInTheWeldRecord(t *testing.T) {
	html := render(t, mapped(nil).HTML)
	wellFormed(t, html)
	for _, words := range []string{
		"Will it clean up", "more metal is needed", "from 250 deg to 265 deg, 9.0 mm to 12.0 mm deep", "No data, so nobody knows",
		`class="cells short"`, "</svg>too little</li>", "0.2 s of arc lies outside the map",
	} {
		assert.Contains(t, html, words)
	}
	assert.NotRegexp(t, loads, html)
	assert.NotContains(t, html, "ZgotmplZ")
	assert.NotContains(t, render(t, New(inventedInput()).HTML), "Will it clean up", "no map, no section")
}

func TestMapTable_NoMap(t *testing.T) {
	require.ErrorIs(t, New(Input{Job: &procedure.Job{}}).MapTable(io.Discard, StockLayer, Metric, 0), ErrNoMap)
}

func TestMapJSON_NoMap(t *testing.T) {
	require.ErrorIs(t, New(Input{Job: &procedure.Job{}}).MapJSON(io.Discard, 0), ErrNoMap)
}

// A bore that is too long for a figure to each pitch keeps the least of each field.
func TestMapOfALongBore(t *testing.T) {
	job := inventedJob()
	job.Bore.Length = 0.6
	m := bore.NewMap(job.Bore, job.Deposit)
	m.WireMeasured = 1
	for k := range m.Cells {
		m.Cells[k].Volume = 27e-9
	}
	m.At(123, 10).Volume = 0
	f := coarse(m, tableAcross, tableRows)
	require.LessOrEqual(t, f.rows, tableRows)
	assert.InDelta(t, -1e-3, float64(*f.least(123/f.down, 3, m.Stock)), 1e-12)
	s := mapped(func(in *Input) { in.Result.Map = m })
	assert.Contains(t, render(t, func(w io.Writer) error { return s.MapTable(w, StockLayer, Metric, bore.DefaultEccentricity) }), "369.0 mm to 372.0 mm deep")
}
