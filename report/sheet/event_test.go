package sheet_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/finding"
	"arctally/analyze/pass"
	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
)

// slipped is a wire that slips in pass 1 and set-points that are wrong in passes 2 and 3.
func slipped() *sheet.Sheet {
	in := sheettest.Input()
	place := func(number, inPass int, rule finding.Rule, worst, limit float64) finding.Finding {
		f := sheettest.Finding(number, rule, 214, 20, worst, limit)
		f.Pass, f.Layer, f.Start = inPass, inPass, pass.Moment{Tick: 100e9}
		return f
	}
	whole := func(number, inPass int, rule finding.Rule, worst, limit float64) finding.Finding {
		f := sheettest.Whole(number, rule, worst, limit)
		f.Pass, f.Layer = inPass, inPass
		return f
	}
	in.Result.Findings = []finding.Finding{
		place(1, 1, finding.Current, 90, 110), place(2, 1, finding.WireSpeed, 0.0625, 0.075), place(3, 1, finding.Voltage, 20, 19),
		whole(4, 2, finding.Voltage, 16, 16.5), whole(5, 3, finding.Voltage, 15.5, 16.5), place(6, 3, finding.ArcOut, 2, 0.3),
	}
	return sheet.New(in)
}

func TestEvents(t *testing.T) {
	s := slipped()
	require.Len(t, s.Events, 3)
	slip, setting := &s.Events[0], &s.Events[1]
	assert.Equal(t, "pass 1, layer 1, from 214 ±2.5 deg at 20.0 mm depth", slip.Where(sheet.Metric))
	assert.Equal(t, "pass 1, layer 1, from 214 ±2.5 deg at 0.79 in depth", slip.Where(sheet.US))
	assert.Equal(t, "wire speed 3.75 m/min, limit 4.50 m/min", slip.WorstText(sheet.Metric))
	assert.Equal(t, "findings 1 to 3", slip.FindingsText())
	assert.Equal(t, "all of passes 2, 3", setting.Where(sheet.Metric))
	assert.Equal(t, "voltage 15.5 V, limit 16.5 V", setting.WorstText(sheet.Metric), "the worst of both passes")
	assert.Equal(t, "finding 6", s.Events[2].FindingsText())
	assert.Equal(t, slip.Sentence, slip.SentenceFor(sheet.Metric))
	assert.Contains(t, slip.SentenceFor(sheet.US), "from 214 deg at 0.787 in depth")
	assert.Contains(t, slip.SentenceFor(sheet.US), "; with it: current low, voltage high")
	for _, f := range s.Findings {
		assert.Contains(t, s.Book.Event(f.Event).Findings, f.Number)
	}
	row := s.FindingList().Events[1]
	assert.Nil(t, row.Angle, "what concerns whole passes has no angle")
	assert.Nil(t, row.Depth)
	assert.True(t, row.Whole)
	assert.Nil(t, row.Layer)
	assert.True(t, s.FindingList().Findings[3].Whole)
	assert.InDelta(t, 13.125, *s.FindingList().Findings[0].Way, 1e-12)
	assert.Contains(t, s.FindingsLine(), "6 findings are open (3 events) until a person records a disposition")
	assert.Equal(t, 3, s.Review().Verdict.Events)

	in := sheettest.Input()
	in.Result.Findings[0].Place = nil
	unknown := sheet.New(in).Events[0]
	assert.Equal(t, "pass 2, layer 2, place not known", unknown.Where(sheet.Metric))
	unknown.Spread = true
	assert.Equal(t, "pass 2, layer 2, at many places", unknown.Where(sheet.Metric))
	in.Result.Findings[1].Place.AngleUncertainty = 180
	assert.Equal(t, "pass 3, layer 3, from 212 deg at 18.0 mm depth", sheet.New(in).Events[1].Where(sheet.Metric), "nothing is known of the angle")
}

// Whoever asks for a part gets the events of it, with that part of their findings.
func TestChoose(t *testing.T) {
	s := slipped()
	numbers := func(c sheet.Choice) (all [][]int) {
		for _, e := range s.Choose(c) {
			var own []int
			for _, f := range e.Of {
				own = append(own, f.Number)
			}
			all = append(all, own)
		}
		return all
	}
	assert.Equal(t, [][]int{{1, 2, 3}, {4, 5}, {6}}, numbers(sheet.Choice{}))
	assert.Equal(t, [][]int{{1, 2, 3}}, numbers(sheet.Choice{Cause: "SLIP"}))
	assert.Equal(t, [][]int{{3}, {4, 5}}, numbers(sheet.Choice{Rule: "voltage"}))
	assert.Equal(t, [][]int{{5}, {6}}, numbers(sheet.Choice{Pass: 3}))
	assert.Equal(t, [][]int{{5}}, numbers(sheet.Choice{Layer: 3, Rule: "voltage"}))
	assert.Empty(t, numbers(sheet.Choice{Pass: 9}))
	s.Findings[4].Open = false
	assert.Equal(t, [][]int{{4}}, numbers(sheet.Choice{Open: true, Cause: "set-point"}))
	list := s.ChosenList(sheet.Choice{Pass: 3})
	assert.Len(t, list.Findings, 2)
	require.Len(t, list.Events, 2)
	assert.Equal(t, []int{4, 5}, list.Events[0].Findings, "the event is told of as a whole")
	assert.Len(t, s.ChosenList(sheet.Choice{}).Findings, 6)
	assert.Equal(t, quantity.Degrees(214), s.Events[0].Place.Angle)
}
