package sheet

import (
	"bytes"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/acquire/calib"
	"arctally/analyze/procedure"
)

func someChecks() []*calib.Check {
	done := time.Date(2026, 5, 4, 7, 40, 0, 0, time.UTC)
	return []*calib.Check{
		{
			Subject: calib.MeterCheck, Channel: "voltage", Done: done, By: "Operator 1", Instrument: "meter 3", Certificate: "C-44",
			Due: "2026-06-01", Sentence: "corrected = reading * 1.02", Notes: []string{"take a third point"},
		},
		{Subject: calib.CentringCheck, Done: done, By: "Operator 1", Epoch: 1, Tick: 5, Sentence: "0.7 mm off"},
	}
}

func TestWriteChecks(t *testing.T) {
	list := CheckList{Record: "bore.arctally", Job: "Job", Checks: someChecks(), Missing: []calib.Subject{calib.ZeroCheck, calib.RotationCheck}}
	var b bytes.Buffer
	require.NoError(t, WriteChecks(&b, list, time.Date(2026, 6, 1, 23, 0, 0, 0, time.UTC)))
	require.Equal(t, `set-up checks: Job
record bore.arctally

check 1: meter of voltage, 2026-05-04 07:40 UTC, by Operator 1, with meter 3, certificate C-44
     corrected = reading * 1.02
     take a third point
     holds for all of the record; due 2026-06-01
check 2: centring, 2026-05-04 07:40 UTC, by Operator 1
     0.7 mm off
     holds from then on, and changes nothing before it (after tick 4 ns of epoch 1); no due date

missing: zero, rotation
`, b.String())
	b.Reset()
	require.NoError(t, WriteChecks(&b, list, time.Date(2026, 6, 2, 0, 0, 0, 0, time.UTC)))
	require.Contains(t, b.String(), "OVERDUE since 2026-06-01")
	b.Reset()
	require.NoError(t, WriteChecks(&b, CheckList{}, time.Time{}))
	require.Contains(t, b.String(), "no set-up check is on record")
}

func TestSheet_checksAreOnThePaper(t *testing.T) {
	s := New(Input{Job: &procedure.Job{}, Checks: someChecks()})
	var page, list bytes.Buffer
	require.NoError(t, s.HTML(&page))
	require.Contains(t, page.String(), "<h3>Set-up checks</h3>")
	require.Contains(t, page.String(), `<th scope="row">meter of voltage</th><td data-head="When">2026-05-04 07:40 UTC</td><td data-head="By">Operator 1</td>`+
		`<td data-head="Instrument">meter 3, certificate C-44</td><td data-head="Due">2026-06-01</td>`)
	require.NotContains(t, page.String(), " ns of epoch", "a reader of the paper has no use for ticks")
	require.NoError(t, s.PassesJSON(&list))
	require.Contains(t, list.String(), `"check": "meter"`)
	page.Reset()
	require.NoError(t, New(Input{Job: &procedure.Job{}}).HTML(&page))
	require.Contains(t, page.String(), "No set-up check is on record.")
}

func TestChecksJSON(t *testing.T) {
	var list bytes.Buffer
	require.NoError(t, ChecksJSON(&list, CheckList{Record: "r"}))
	require.JSONEq(t, `{"record": "r", "job": "", "checks": []}`, list.String())
}
