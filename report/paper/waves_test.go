package paper

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/report/draw"
	"arctally/report/paper/layout"
	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
)

// flat is a wave around an event in which nothing moves.
func flat(e *sheet.Event) *draw.Wave {
	_, from, until := draw.WaveTime(e)
	same := func(v float64) draw.Extremes {
		return draw.Extremes{Low: []float64{v, v}, High: []float64{v + 1, v + 1}}
	}
	return &draw.Wave{From: from, Until: until, Voltage: same(17), Current: same(140), Power: same(2400)}
}

// many are so many open events, each further beyond its limit than the one before it.
func many(n int) *sheet.Sheet {
	s := sheettest.New()
	one := s.Events[0]
	s.Events = nil
	for k := range n {
		e, f := one, *one.Lead
		f.Limit, f.Beyond = 10, float64(k+1)
		e.Number, e.Lead, e.Worst, e.Of = k+1, &f, &f, []*sheet.Finding{&f}
		s.Events = append(s.Events, e)
	}
	return s
}

// Beside each open event stands what was measured around it: on the page and on paper.
func TestWaves(t *testing.T) {
	s := sheet.New(sheettest.Decided())
	waves := Waves{}
	for _, e := range Waved(s) {
		require.True(t, e.State.IsOpen())
		waves[e.Number] = flat(e)
	}
	require.GreaterOrEqual(t, len(waves), 2)
	first := Waved(s)[0].Number
	waves[first] = nil
	for _, u := range []sheet.Units{sheet.Metric, sheet.US} {
		var html, pdf strings.Builder
		require.NoError(t, With{Waves: waves}.HTML(&html, s, u))
		require.NoError(t, With{Waves: waves}.PDF(&pdf, s, u, layout.A4))
		for form, text := range map[string]string{"page": html.String(), "paper": textOf(t, []byte(pdf.String()))} {
			text = wordless(text)
			for _, e := range Waved(s) {
				assert.Contains(t, text, wordless(fmt.Sprintf("Event %d: %s", e.Number, e.Cause)), form)
				assert.Contains(t, text, wordless(upperFirst(e.Where(u))), form)
			}
			assert.Contains(t, text, wordless("Nothing was measured then"), form)
			assert.Contains(t, text, wordless("Power, W"), form)
			assert.Contains(t, text, wordless(fmt.Sprintf("%d open events, what nobody has decided on first", len(waves))), form)
		}
		assert.Equal(t, len(waves)-1, strings.Count(html.String(), "Voltage, current and power around event"))
	}
}

// Of more events than anyone looks through on paper the worst are shown, and the paper says so.
func TestWaves_TheWorst(t *testing.T) {
	s := many(60)
	require.Len(t, s.Events, 60)
	shown := Waved(s)
	require.Len(t, shown, mostWaves)
	assert.Equal(t, 60, shown[0].Number)
	assert.Equal(t, 21, shown[mostWaves-1].Number)
	waves := Waves{}
	for _, e := range shown {
		waves[e.Number] = flat(e)
	}
	var html strings.Builder
	require.NoError(t, With{Waves: waves}.HTML(&html, s, sheet.Metric))
	assert.Contains(t, html.String(), "40 of 60 open events")
	assert.Equal(t, mostWaves, strings.Count(html.String(), "Voltage, current and power around event"))
}

// A paper for which nobody read the waves does not say that nothing was measured.
func TestWaves_NotHandedIn(t *testing.T) {
	assert.NotContains(t, sheettest.Render(t, pageOf(sheet.New(sheettest.Decided()))), "Measured around open events")
	blind := &draw.Wave{From: 0, Until: 1, Voltage: draw.Extremes{Low: []float64{math.NaN()}, High: []float64{math.NaN()}}}
	s := many(1)
	var html strings.Builder
	require.NoError(t, With{Waves: Waves{1: blind}}.HTML(&html, s, sheet.Metric))
	assert.Contains(t, html.String(), "Nothing was measured then, or it cannot be drawn.")
}
