package onepage

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/report/fleet"
	"arctally/report/sheet/sheettest"
)

// made are invented answers: a chart with a job outside, and one of which nothing is known.
func made() Answers {
	place := fleet.Place{Record: "made <1>.arctally", Digest: strings.Repeat("0a", 32), Pass: new(2), Review: "#/record/made%20%3C1%3E/pass/2", Simulated: new(true)}
	dots := []fleet.Dot{{Place: place, At: "2026-03-02T08:00:00.000000Z", Value: 0.40}, {Place: place, At: "2026-03-03T08:00:00.000000Z", Value: 0.50, Outside: true}}
	chart := fleet.Chart{
		Procedure: fleet.Procedure{Name: new("MADE-1 <b>rev\x1b 2</b>"), WindowLow: new(0.25), WindowHigh: new(0.55)}, Member: new("B-0001"), Jobs: 20, Passes: 40,
		Mean: new(0.41), Low: new(0.36), High: new(0.46), Outside: new(1), Signal: fleet.SignalOutside, Newest: dots,
	}
	bare := fleet.Chart{Jobs: 1, Passes: 1, Mean: new(0.3), NoLimits: new("fewer than 8 jobs"), Newest: dots[:1]}
	return Answers{
		HeatInput: &fleet.Charts{Measure: fleet.HeatInput, Side: fleet.ByBox, InAll: 2, Undated: 3, Charts: []fleet.Chart{chart, bare}},
		ArcOn:     &fleet.Charts{Measure: fleet.ArcOn, Side: fleet.ByBox},
		Proved:    &fleet.Proved{InAll: 1, Procedures: []fleet.ProcedureProved{{Bars: []fleet.Bar{{Kind: "no-calibration", Passes: 4, Place: place}}}}},
		Open:      &fleet.OpenEvents{InAll: 7, Causes: []fleet.CauseOpen{{Cause: "arc lost", Open: 7}}, Events: []fleet.OpenEvent{{Place: place, Since: "2026-03-02T08:00:00Z", State: "open"}}},
		Due:       &fleet.Due{On: "2026-03-02", Calibrated: []fleet.DueCalibration{{Channel: "voltage", Due: "2026-03-01", Days: -1, Place: place}}},
		Changes:   &fleet.Changes{Since: "2026-03-01T00:00:00.000000Z", States: []fleet.Change{{Place: place, TakenIn: "2026-03-02T08:00:00Z", Outcome: fleet.WentOn, Before: &fleet.StateCounts{Passes: 9}}}},
	}
}

func written(t *testing.T, a Answers) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, Write(&b, a))
	return b.String()
}

// Each number leads to its review where somebody serves it; what words from outside say is
// shown, and does nothing.
func TestWrite(t *testing.T) {
	a := made()
	a.At = "https://192.0.2.7:8470/"
	text := written(t, a)
	require.Equal(t, text, written(t, a), "the same bytes")
	require.Equal(t, 7, strings.Count(text, `href="https://192.0.2.7:8470/#/record/made%20%3C1%3E/pass/2"`))
	require.Contains(t, text, `MADE-1 &lt;b&gt;rev\u001b 2&lt;/b&gt;`)
	require.NotContains(t, text, "<b>")
	require.NotContains(t, text, "ZgotmplZ")
	for _, want := range []string{
		"Charts 2 of 2", "which stand on no chart: 3.", "limits 0.360 to 0.460, outside 1", "look: the newest job lies outside the limits", "box B-0001", "box not known",
		", no limits: fewer than 8 jobs", "Nothing of that was taken in.", "no calibration: 4, newest", "arc lost: 7.", "run out, -1", "9 passes, - proved, 0 open", "No conformity to a clause",
	} {
		require.Contains(t, text, want)
	}
}

func TestWrite_withoutServe(t *testing.T) {
	a := made()
	require.NotContains(t, written(t, a), "href")
	a.At = "https://192.0.2.7:8470"
	for k := range a.HeatInput.Charts[0].Newest {
		a.HeatInput.Charts[0].Newest[k].Record = "0a0a/record.arctally"
	}
	require.Equal(t, 4, strings.Count(written(t, a), "href"), "a bundle lies elsewhere")
}

// The drawing has every job in its frame, what lies outside in another shape, and the limits
// where they belong.
func TestDraw(t *testing.T) {
	a := made()
	d := draw("", a.HeatInput.Charts[0])
	require.Equal(t, []level{{"limit", "high 0.460", "45.1"}, {"mean", "mean 0.410", "86.6"}, {"limit", "low 0.360", "128.0"}}, d.Lines)
	require.Equal(t, "M155.0 94.9L445.0 12.0", d.Path)
	require.False(t, d.Dots[0].Outside)
	require.True(t, d.Dots[1].Outside)
	require.Equal(t, "made <1>.arctally (simulated), 2026-03-03, 0.500", d.Dots[1].Words)
	flat := a.HeatInput.Charts[1]
	flat.Newest = append(flat.Newest[:0:0], flat.Newest...)
	flat.Newest[0].Value = 0.3
	require.Equal(t, "M300.0 70.0", draw("", flat).Path, "what does not vary stands in the middle")
	text := written(t, a)
	for _, one := range strings.Split(text, "<svg")[1:] {
		one = "<svg" + one[:strings.Index(one, "</svg>")] + "</svg>"
		decoder := xml.NewDecoder(strings.NewReader(one))
		var err error
		for err == nil {
			_, err = decoder.Token()
		}
		require.ErrorIs(t, err, io.EOF, one)
	}
	require.Equal(t, 1, strings.Count(text, `class="out"`))
	require.Equal(t, 2, strings.Count(text, `class="in"`))
}

func TestWrite_full(t *testing.T) {
	require.True(t, errors.Is(Write(&sheettest.Full{Left: 100}, made()), sheettest.ErrFull))
}
