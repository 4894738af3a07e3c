package sheet_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/finding"
	"arctally/analyze/pass"
	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
)

// A pass, with what was found in it, is what the whole lists say of it.
func TestPassAlone(t *testing.T) {
	s := sheet.New(sheettest.Decided())
	passes, list := s.PassList().Passes, s.FindingList()
	found := 0
	for k, row := range passes {
		one, ok := s.PassAlone(row.Number)
		require.True(t, ok)
		assert.Equal(t, row, one.Pass)
		assert.Equal(t, len(list.Findings), one.Flagged)
		assert.Equal(t, k == 0, one.Before == nil)
		assert.Equal(t, k == len(passes)-1, one.After == nil)
		if k > 0 {
			assert.Equal(t, passes[k-1].Number, *one.Before)
			before, _ := s.PassAlone(*one.Before)
			assert.Equal(t, row.Number, *before.After)
		}
		events := map[int]bool{}
		for i, f := range one.Findings {
			assert.Contains(t, list.Findings, f)
			assert.Equal(t, row.Number, f.Pass)
			assert.True(t, i == 0 || one.Findings[i-1].TickNS <= f.TickNS, "in the order in which they began")
			events[f.Event] = true
		}
		assert.Len(t, one.Events, len(events))
		for _, e := range one.Events {
			assert.True(t, events[e.Number])
			assert.Contains(t, list.Events, e)
		}
		found += len(one.Findings)
	}
	assert.Equal(t, len(list.Findings), found)
	_, ok := s.PassAlone(99)
	assert.False(t, ok)
}

// manyPasses is a sheet of many passes, each with a finding.
func manyPasses(passes int) *sheet.Sheet {
	in := sheettest.Decided()
	in.Entries = nil
	in.Result.Passes, in.Result.Findings = nil, nil
	for k := range passes {
		p := sheettest.Decided().Result.Passes[0]
		p.Number, p.Layer = k+1, 1+k/200
		in.Result.Passes = append(in.Result.Passes, p)
		in.Result.Findings = append(in.Result.Findings, finding.Finding{
			Number: k + 1, Rule: finding.Voltage, Pass: k + 1, Layer: p.Layer, Place: &bore.Place{Angle: quantity.Degrees(k % 360), Depth: 0.01},
			Way: new(quantity.Degrees(30)), Start: pass.Moment{Tick: int64(k) * 1e9}, Worst: 21, Limit: 19, Beyond: 2, Sentence: "too high",
		})
	}
	return sheet.New(in)
}

// The table of passes is sent in parts, each pass once and in order.
func TestPassPage(t *testing.T) {
	const all = 2*sheet.MostPasses + 30
	s := manyPasses(all)
	next := 1
	for from := 0; from < all; from += sheet.MostPasses {
		page := s.PassPage(from)
		assert.Equal(t, from, page.From)
		assert.Equal(t, all, page.All)
		assert.LessOrEqual(t, len(page.Passes), sheet.MostPasses)
		for _, line := range page.Passes {
			assert.Equal(t, next, line.Number)
			next++
		}
	}
	assert.Equal(t, all+1, next)
	beyond := s.PassPage(math.MaxInt32)
	assert.Equal(t, all, beyond.From)
	assert.Empty(t, beyond.Passes)
	assert.NotNil(t, beyond.Passes)
}

// What the table says of a pass is what the pass says of itself.
func TestPassPage_SaysWhatThePassesSay(t *testing.T) {
	s := sheet.New(sheettest.Decided())
	rows := s.PassList().Passes
	for k, line := range s.PassPage(0).Passes {
		row := rows[k]
		judged, expanded := row.HeatInput, row.ExpandedUncertainty
		if s.JudgesArcEnergy() {
			judged = row.ArcEnergy
		}
		if row.Uncertainty != nil {
			expanded = row.Uncertainty.Expanded
		}
		assert.Equal(t, sheet.PassLine{
			Number: row.Number, Layer: row.Layer, Verdict: row.Verdict, Findings: row.Findings, Judged: judged, Expanded: expanded,
			ArcTime: row.ArcTime, ArcOnRatio: row.ArcOnRatio, PlannedArcOn: row.PlannedArcOn, VoltageMean: row.VoltageMean, CurrentMean: row.CurrentMean,
			TravelSpeed: row.TravelSpeed, TravelBasis: row.TravelBasis,
		}, line)
	}
}

// What a page is sent at first grows by a few bytes a pass and a finding: it was 14 kB a pass.
func TestReview_GrowsLittle(t *testing.T) {
	size := func(passes int) int {
		text, err := json.Marshal(manyPasses(passes).Review())
		require.NoError(t, err)
		return len(text)
	}
	few, more := size(100), size(400)
	t.Logf("%d bytes more for each pass with a finding", (more-few)/300)
	assert.Less(t, more-few, 300*250)
}

// A cell by itself is what the whole map says of it.
func TestCellAlone(t *testing.T) {
	s := sheettest.Mapped(nil)
	var text bytes.Buffer
	require.NoError(t, s.MapJSON(&text, bore.DefaultEccentricity))
	var all sheet.MapObject
	require.NoError(t, json.Unmarshal(text.Bytes(), &all))
	found := 0
	of := map[int]int{} // findings of a cell
	for _, f := range s.FindingList().Findings {
		if f.Angle != nil {
			column, row := int(*f.Angle/all.AngleStep), min(all.Rows-1, int(*f.Depth/all.DepthStep))
			of[row*all.Columns+column]++
		}
	}
	require.NotEmpty(t, of)
	for at := range all.Cells {
		if at%137 != 0 && of[at] == 0 {
			continue
		}
		row, column := at/all.Columns, at%all.Columns
		one, ok := s.CellAlone(row, column)
		require.True(t, ok)
		assert.Equal(t, all.Cells[at], one.Cell)
		require.Len(t, one.Values, len(all.Views))
		for k, v := range all.Views {
			assert.Equal(t, sheet.CellValue{Of: v.Of, Layer: v.Layer, Value: v.Values[at]}, one.Values[k])
		}
		assert.Len(t, one.Findings, of[at])
		found += len(one.Findings)
	}
	assert.NotZero(t, found)
	for _, at := range [][2]int{{-1, 0}, {0, -1}, {all.Rows, 0}, {0, all.Columns}} {
		_, ok := s.CellAlone(at[0], at[1])
		assert.False(t, ok, "%v", at)
	}
}

// The passes of a cell are, layer by layer, those that came over its angle, and of these the
// deepest that did not begin below it; a pass of which no place is known may always have.
func TestCellAlone_Passes(t *testing.T) {
	place := func(angle, depth float64) *bore.Place {
		return &bore.Place{Angle: quantity.Degrees(angle), Depth: quantity.Metres(depth / 1e3)}
	}
	for _, c := range []struct {
		id     string
		passes []pass.Pass
		angle  float64 // of the cell; it lies at 10 mm
		want   []int
	}{
		{"clockwise over it", []pass.Pass{{StartPlace: place(10, 9), EndPlace: place(100, 9), Turns: new(0.25)}}, 50, []int{1}},
		{"clockwise, not as far", []pass.Pass{{StartPlace: place(10, 9), EndPlace: place(100, 9), Turns: new(0.25)}}, 200, []int{}},
		{"anti-clockwise over it", []pass.Pass{{StartPlace: place(100, 9), EndPlace: place(10, 9), Turns: new(0.25)}}, 50, []int{1}},
		{"anti-clockwise, the other way", []pass.Pass{{StartPlace: place(100, 9), EndPlace: place(10, 9), Turns: new(0.25)}}, 200, []int{}},
		{"over the mark", []pass.Pass{{StartPlace: place(350, 9), EndPlace: place(20, 9), Turns: new(30.0 / 360)}}, 5, []int{1}},
		{"all round", []pass.Pass{{StartPlace: place(0, 0), EndPlace: place(0, 30), Turns: new(10.0)}}, 333, []int{1}},
		{"rings: the deepest above it", []pass.Pass{
			{StartPlace: place(0, 3), Turns: new(1.0)}, {StartPlace: place(0, 9), Turns: new(1.0)}, {StartPlace: place(0, 12), Turns: new(1.0)},
		}, 50, []int{2}},
		{"two that began at one depth", []pass.Pass{{StartPlace: place(0, 9), Turns: new(0.5)}, {StartPlace: place(40, 9), Turns: new(0.5)}}, 90, []int{1, 2}},
		{"each layer has its own", []pass.Pass{{Layer: 1, StartPlace: place(0, 9), Turns: new(1.0)}, {Layer: 2, StartPlace: place(0, 3), Turns: new(1.0)}}, 90, []int{1, 2}},
		{"below it", []pass.Pass{{StartPlace: place(0, 20), Turns: new(1.0)}}, 90, []int{}},
		{"no place is known", []pass.Pass{{Turns: new(0.1)}, {StartPlace: place(0, 20)}}, 90, []int{1}},
		{"how far it turned is not known", []pass.Pass{{StartPlace: place(0, 9)}}, 180, []int{1}},
		{"nor is that a number", []pass.Pass{{StartPlace: place(0, 9), Turns: new(math.NaN())}}, 180, []int{1}},
	} {
		t.Run(c.id, func(t *testing.T) {
			s := sheettest.Mapped(func(in *sheet.Input) {
				in.Result.Passes = c.passes
				for k := range c.passes {
					in.Result.Passes[k].Number = k + 1
				}
				in.Result.Findings, in.Result.Events, in.Entries = nil, nil, nil
			})
			one, ok := s.CellAlone(int(0.01/float64(s.Wall.DepthStep)), int(c.angle/float64(s.Wall.AngleStep)))
			require.True(t, ok)
			numbers := []int{}
			for _, p := range one.Passes {
				numbers = append(numbers, p.Number)
			}
			assert.Equal(t, c.want, numbers, fmt.Sprint(one.Cell))
		})
	}
}

// What angles rest on is a line for each basis, with the pass that is known least.
func TestReview_Angles(t *testing.T) {
	s := sheet.New(sheettest.Decided())
	rows := s.PassList().Passes
	of := map[string][]int{}
	for _, row := range rows {
		if row.AngleBy != nil {
			of[*row.AngleBy] = append(of[*row.AngleBy], row.Number)
		}
	}
	require.NotEmpty(t, of)
	lines := s.Review().Angles
	require.Len(t, lines, len(of))
	for _, line := range lines {
		passes := line.Passes
		if passes == nil {
			require.Len(t, of[line.By], len(rows))
			passes = of[line.By]
		}
		assert.Equal(t, of[line.By], passes)
		for _, row := range rows {
			if row.AngleBy != nil && *row.AngleBy == line.By && line.Uncertainty != nil {
				require.NotNil(t, row.AngleUncertainty)
				assert.LessOrEqual(t, *row.AngleUncertainty, *line.Uncertainty)
			}
		}
	}
}
