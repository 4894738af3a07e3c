package main

import (
	"bytes"
	"encoding/json"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/record"
	"arctally/acquire/sensorbox"
	"arctally/analyze/event"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/jobfile/jobtest"
	"arctally/cmd/internal/review"
	"arctally/report/sheet"
)

// causesOf says which cause an event has that a fault brings about.
var causesOf = map[sensorbox.FaultKind]event.Cause{
	sensorbox.ArcOut:        event.ArcLost,
	sensorbox.GasLoss:       event.GasLost,
	sensorbox.WireSlip:      event.Slip,
	sensorbox.StubbingTip:   event.Stubs,
	sensorbox.WrongVoltage:  event.SetVoltage,
	sensorbox.RotationDrift: event.Rotation,
	sensorbox.Interruption:  event.Stopped,
}

// checkEvents wants exactly one event for each fault, with its cause, at its place.
func (r *repair) checkEvents(t *testing.T) {
	t.Helper()
	for _, e := range r.findings.Events {
		t.Log(e.Number, e.Findings, e.Sentence)
	}
	require.Len(t, r.findings.Events, len(r.truth.Faults))
	for _, truth := range r.truth.Faults {
		k := slices.IndexFunc(r.findings.Events, func(e sheet.EventRow) bool { return e.Cause == string(causesOf[truth.Fault.Kind]) })
		require.GreaterOrEqual(t, k, 0, "%s of pass %d", truth.Fault.Kind, truth.Pass)
		e := r.findings.Events[k]
		assert.Equal(t, []int{truth.Pass}, e.Passes)
		require.NotNil(t, e.Angle, truth.Fault.Kind)
		assert.InDelta(t, float64(truth.Angle), *e.Angle, placeTolerance, truth.Fault.Kind)
	}
	within := 0
	for _, e := range r.findings.Events {
		within += len(e.Findings)
	}
	assert.Equal(t, len(r.findings.Findings), within)
}

// typed carries out a command line, and returns what it printed.
func (r *repair) typed(t *testing.T, status int, command string, more ...string) string {
	t.Helper()
	var printed, complaints bytes.Buffer
	got := run(t.Context(), append([]string{command, r.record}, more...), &printed, &complaints)
	require.Equal(t, status, got, "%s%s", &printed, &complaints)
	return printed.String() + complaints.String()
}

// Every fault of the box that shows is one thing to decide on, however many findings it has; it
// is decided on in one act, corrected in one, and the record holds an entry about each finding.
func TestEndToEnd_EventsOfFaults(t *testing.T) {
	r := recordRepair(t, jobtest.Short(t, "rings", jobtest.ThreeTurns), []sensorbox.Fault{
		{Kind: sensorbox.ArcOut, Pass: 1, Turn: 1, From: 200, Duration: 2},
		{Kind: sensorbox.GasLoss, Pass: 2, Turn: 1, From: 150, Duration: 4},
		{Kind: sensorbox.WireSlip, Pass: 3, Turn: 1, From: 250, Duration: 4},
		{Kind: sensorbox.StubbingTip, Pass: 4, Turn: 1, From: 300, Duration: 4},
		{Kind: sensorbox.WrongVoltage, Pass: 5, Turn: 1, From: 30, Duration: 4},
		{Kind: sensorbox.RotationDrift, Pass: 6, Turn: 1, From: 170, Duration: 4},
	})
	require.Greater(t, len(r.findings.Findings), len(r.truth.Faults))
	r.checkEvents(t)
	r.inspectSlip(t)
}

// inspectSlip decides on the wire slip as on one, and corrects that.
func (r *repair) inspectSlip(t *testing.T) {
	t.Helper()
	k := slices.IndexFunc(r.findings.Events, func(e sheet.EventRow) bool { return e.Cause == string(event.Slip) })
	slip := r.findings.Events[k]
	require.Len(t, slip.Findings, 3)
	all, words := len(r.findings.Findings), []string{"event=" + event.Ranges([]int{slip.Number}), "method=visual", "by=Inspector 1"}
	told := r.typed(t, explain.Open, "inspect", append(words, "result=no indication", "decision=accept")...)
	assert.Contains(t, told, "kept: entries 1 to 3, disposition of an event with 3 findings, by Inspector 1 (name typed)\nopen events: 5\n")
	r.readBack(t, "findings", &r.findings)
	assert.Equal(t, "accepted", r.findings.Events[k].State)
	open := 0
	for _, f := range r.findings.Findings {
		if f.State == "open" {
			open++
		}
	}
	assert.Equal(t, all-3, open)
	told = r.typed(t, explain.Open, "inspect", append(words, "result=indication not acceptable", "decision=repair", "corrects=2")...)
	assert.Contains(t, told, "kept: entries 4 to 6")
	shown := r.typed(t, explain.Open, "inspect")
	assert.Contains(t, shown, "takes the place of entries 1 to 3")
	assert.Contains(t, shown, "entries 4 to 6 took its place")
	assert.Contains(t, r.typed(t, explain.Failed, "inspect", append(words, "result=no indication", "decision=accept", "corrects=2")...), "entry 5 took the place of entry 2 before")
	assert.Contains(t, r.typed(t, explain.Failed, "inspect", "event=99", "method=visual", "result=no indication", "decision=accept", "by=I"), "there is no event 99")
	assert.Contains(t, r.typed(t, explain.Misuse, "inspect", "event=1", "finding=1", "method=visual", "result=no indication", "decision=accept", "by=I"), "leave out finding=")
	r.typed(t, explain.Done, "verify")

	chosen := r.typed(t, explain.Open, "findings", "--cause", "slip", "--rule", "current")
	assert.Contains(t, chosen, "chosen: 1 of 6 events, 1 of ")
	assert.Contains(t, chosen, "1 of them chosen; to repair")
	var list sheet.FindingList
	require.NoError(t, json.Unmarshal([]byte(r.typed(t, explain.Open, "findings", "--pass", "3", "--json")), &list))
	assert.Len(t, list.Events, 1)
	assert.Len(t, list.Findings, 3)
	assert.Regexp(t, `(?m)^ +2 +1 +1 [0-9:.]+ +open +loss of gas$`, r.typed(t, explain.Open, "findings", "--events", "--layer", "1", "--open"))
	reader, err := record.Open(r.record)
	require.NoError(t, err)
	entries, err := review.ReadEntries(reader)
	require.NoError(t, err)
	require.NoError(t, reader.Close())
	require.Len(t, entries, 6)
	assert.Equal(t, []int{0, 0, 0, 1, 2, 3}, []int{entries[0].Corrects, entries[1].Corrects, entries[2].Corrects, entries[3].Corrects, entries[4].Corrects, entries[5].Corrects})
}

// A set-point that is wrong in all passes is one thing to decide on, and has no angle; what is told
// while it is recorded is what the record is judged to be.
func TestEndToEnd_EventOfASetPoint(t *testing.T) {
	r := recordRepair(t, jobtest.Short(t, "rings", jobtest.ThreeTurns), []sensorbox.Fault{{Kind: sensorbox.WrongVoltage}})
	require.GreaterOrEqual(t, len(r.findings.Findings), 6)
	require.Len(t, r.findings.Events, 1)
	e := r.findings.Events[0]
	assert.Equal(t, string(event.Setting), e.Cause)
	assert.Equal(t, []int{1, 2, 3, 4, 5, 6}, e.Passes)
	assert.Nil(t, e.Angle)
	for _, f := range r.findings.Findings {
		assert.True(t, f.Whole)
		assert.Nil(t, f.Angle, "not 0 degrees")
	}
}

// The events are those of the findings, from whichever side they are asked for.
func TestEndToEnd_EventsAreThoseOfTheFindings(t *testing.T) {
	file := importKeyway(t)
	r, err := review.Judge(t.Context(), file, "", func(float64) {})
	require.NoError(t, err)
	require.NoError(t, r.Close())
	require.NotEmpty(t, r.Result.Events)
	assert.Equal(t, event.Group(r.Result.Findings), r.Result.Events)
	require.Len(t, r.Book.Events, len(r.Result.Events))
	for k := range r.Book.Events {
		assert.Equal(t, r.Result.Events[k], r.Book.Events[k].Event)
	}
}
