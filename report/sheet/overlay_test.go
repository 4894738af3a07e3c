package sheet

import (
	"encoding/json"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/compare"
)

// inventedComparison is a pass over the median of three, two turns long.
func inventedComparison(way compare.Way) *compare.Comparison {
	c := &compare.Comparison{
		Pass: 4, Good: []int{1, 2, 3}, Way: way, Width: 1.0 / 72,
		Options: compare.Options{Deviations: 4, Share: 0.02, Dwell: 1},
		Scales:  []compare.Scale{{Quantity: compare.Voltage, Deviation: 0.05, Threshold: 0.35}},
		Departures: []compare.Departure{{
			Quantity: compare.Voltage, First: 100, Last: 106, From: bore.Place{Angle: 140, Depth: 0.0042}, To: bore.Place{Angle: 175, Depth: 0.0045},
			Placed: true, Lasted: 4.7, Mean: 2, Worst: 2.5, Sentence: "voltage 2.00 V above the median; look",
		}},
	}
	if way == compare.ArcTime {
		c.Width = 0.5
	}
	for n := range 144 {
		v := compare.Values{Voltage: new(quantity.Volts(17.5)), Current: new(quantity.Amperes(140)), Power: new(quantity.Watts(2400)), Arc: 0.66}
		l := compare.Line{Number: n, Placed: way == compare.Turns, This: v, Reference: v}
		l.Place = bore.Place{Angle: quantity.Degrees(n % 72 * 5), Depth: quantity.Metres(n) * 0.003 / 72}
		if n >= 100 && n <= 106 {
			l.This.Voltage = new(quantity.Volts(19.5))
		}
		if n%72 >= 16 && n%72 < 23 {
			l.This, l.Reference = compare.Values{}, compare.Values{}
		}
		c.Lines = append(c.Lines, l)
	}
	return c
}

func TestComparisonGolden(t *testing.T) {
	s := New(inventedInput())
	for name, write := range map[string]func(io.Writer) error{
		"comparison.txt":      func(w io.Writer) error { return s.ComparisonTable(w, inventedComparison(compare.Turns)) },
		"comparison-time.txt": func(w io.Writer) error { return s.ComparisonTable(w, inventedComparison(compare.ArcTime)) },
	} {
		t.Run(name, func(t *testing.T) { golden(t, name, render(t, write)) })
	}
}

func TestComparisonJSON(t *testing.T) {
	var o ComparisonObject
	s := New(inventedInput())
	text := render(t, func(w io.Writer) error { return s.ComparisonJSON(w, inventedComparison(compare.Turns)) })
	require.NoError(t, json.Unmarshal([]byte(text), &o))
	require.Len(t, o.Bins, 144)
	assert.Nil(t, o.With)
	assert.Equal(t, []int{1, 2, 3}, o.Good)
	assert.InDelta(t, 19.5, *o.Bins[101].This.Voltage, 1e-12)
	assert.InDelta(t, 145, *o.Bins[101].Angle, 1e-12)
	assert.Nil(t, o.Bins[101].This.Wire)
	require.Len(t, o.Parts, 1)
	assert.InDelta(t, 4.2, *o.Parts[0].FromDepth, 1e-9)
	assert.Equal(t, "V", o.Parts[0].Unit)
}

func TestComparisonHTML(t *testing.T) {
	s := New(inventedInput())
	for _, way := range []compare.Way{compare.Turns, compare.ArcTime} {
		html := render(t, func(w io.Writer) error { return s.ComparisonHTML(w, inventedComparison(way)) })
		wellFormed(t, html)
		assert.NotRegexp(t, loads, html)
		assert.NotContains(t, html, "NaN")
		assert.NotContains(t, html, "ZgotmplZ")
		assert.Contains(t, html, "Pass 4 laid over the median of 3 good passes")
		assert.Contains(t, html, "voltage 2.00 V above the median; look")
		assert.Equal(t, 4, strings.Count(html, "<figure"), "no wire speed, no strip")
		assert.Contains(t, html, `class="partno">1<`)
	}
}

func TestComparisonHTML_Escapes(t *testing.T) {
	in := inventedInput()
	in.RecordName, in.Job.Name = "</style><script>alert(1)</script>", "</title><script>"
	c := inventedComparison(compare.Turns)
	c.Departures[0].Sentence = "<script>"
	html := render(t, func(w io.Writer) error { return New(in).ComparisonHTML(w, c) })
	wellFormed(t, html)
	assert.NotRegexp(t, loads, html)
}
