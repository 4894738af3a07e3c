package page

import (
	"context"
	"errors"
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/report/fleet"
	"arctally/report/sheet"
)

var (
	hereDigest = strings.Repeat("0a", 32)
	elsewhere  = strings.Repeat("0b", 32)
)

func (b *bench) AllJobs(_ context.Context, r FleetRequest) (*FleetAnswer, *Judging, error) {
	b.mutex.Lock()
	defer b.mutex.Unlock()
	if b.askedOfAll = r; b.judging {
		return nil, &Judging{0.25}, nil
	}
	a := &FleetAnswer{Of: FleetOf{
		Passing: new("it cannot be kept"), Since: new(sheet.Timestamp(morning)), At: sheet.Timestamp(morning), Jobs: new(2),
		LeftOut: []FleetLeftOut{{Record: "torn", State: "broken", Why: "it is no record", Hint: new("copy it anew")}, {Record: "now", State: "recording", Why: "it is being recorded now"}},
	}}
	place := fleet.Place{Record: "boom pin.arctally", Digest: hereDigest, Pass: new(1), Review: "#/record/boom%20pin/pass/1", Simulated: new(true)}
	far := fleet.Place{Record: "away/record.arctally", Digest: elsewhere, Review: "#/record/record"}
	switch r.Question {
	case AskHeatInput, AskArcOn:
		a.Charts = &fleet.Charts{Measure: fleet.Measure(r.Question), Side: r.By, Unit: "kJ/mm", InAll: 2, Charts: []fleet.Chart{
			{Procedure: fleet.Procedure{Name: new("P")}, Jobs: 9, Passes: 18, Mean: new(0.4), Low: new(0.3), High: new(0.5), Outside: new(1), Newest: []fleet.Dot{{Place: place, At: sheet.Timestamp(morning), Value: 0.6, Passes: 2, Outside: true}}, Farthest: []fleet.Dot{{Place: far}}},
			{NoLimits: new("fewer than 8 jobs")},
		}}
	case AskProved:
		a.Proved = &fleet.Proved{InAll: 1, Procedures: []fleet.ProcedureProved{{Bars: []fleet.Bar{{Kind: "skew", Passes: 2, Place: place}}}}}
	case AskOpen:
		a.Open = &fleet.OpenEvents{InAll: 1, Causes: []fleet.CauseOpen{{Cause: "arc lost", Open: 1}}, Events: []fleet.OpenEvent{{Place: place, Number: 3}}}
	case AskCalibrations:
		a.Due = &fleet.Due{On: "2026-05-04", Within: r.Days, Calibrated: []fleet.DueCalibration{{Channel: "voltage", Place: place}}}
	case AskSince:
		a.Changes = &fleet.Changes{Since: sheet.Timestamp(morning), States: []fleet.Change{{Place: place, Outcome: fleet.WentOn, Before: &fleet.StateCounts{}}}}
	}
	a.Here = a.ReadHere(map[string]string{hereDigest: theRecord, strings.Repeat("0c", 32): "another"})
	return a, nil, b.begin()
}

// Each question is asked as it was put, and answered by what was asked alone; its answer says which of its jobs are here.
func TestAllJobs(t *testing.T) {
	s := newSite(t)
	for _, question := range fleetQuestions {
		var got map[string]any
		a := s.get("/api/fleet/"+string(question), &got)
		assert.Equal(t, "no-store", a.header.Get("Cache-Control"), "an answer is of now")
		assert.Empty(t, a.header.Get("ETag"))
		assert.Equal(t, map[string]any{hereDigest: theRecord}, got["here"], question)
		answered := 0
		for _, part := range []string{"charts", "proved", "open", "due", "changes"} {
			if got[part] != nil {
				answered++
			}
		}
		assert.Equal(t, 1, answered, question)
		days := map[bool]int{true: 30, false: 60}[question == AskSince]
		assert.Equal(t, FleetRequest{Question: question, By: fleet.ByProcedure, Most: 20, Days: days}, s.bench.askedOfAll)
	}
	s.get("/api/fleet/heat-input?by=operator&most=200&days=0", nil)
	assert.Equal(t, FleetRequest{Question: AskHeatInput, By: fleet.ByOperator, Most: 200, Days: 0}, s.bench.askedOfAll)
	s.bench.judging = true
	a := s.ask("GET", "/api/fleet/open", nil)
	require.Equal(t, http.StatusAccepted, a.status)
	assert.JSONEq(t, `{"progress": 0.25}`, string(a.body))
}

// What cannot be asked is refused before anybody looks for an answer.
func TestAllJobs_Refused(t *testing.T) {
	s := newSite(t)
	s.ask("GET", "/api/fleet/weather", nil).trouble(404)
	s.ask("GET", "/api/fleet/..%2Fopen", nil).trouble(404)
	for path, field := range map[string]string{
		"open?most=0": "most", "open?most=201": "most", "open?most=1e2": "most", "open?most=-1": "most", "since?days=-1": "days", "since?days=36501": "days",
		"calibrations?days=99999999999999999999": "days", "heat-input?by=moon": "by", "arc-on?by=%27%3B--": "by",
	} {
		assert.Equal(t, []string{field}, s.ask("GET", "/api/fleet/"+path, nil).fields(422), path)
	}
	assert.Equal(t, []string{"most", "days", "by"}, s.ask("GET", "/api/fleet/heat-input?by=x&most=x&days=x", nil).fields(422), "all at once")
	assert.Zero(t, s.bench.askedOfAll)
	s.bench.fails = errors.New("/var/cache/of/somebody: the database is on strike")
	told := s.ask("GET", "/api/fleet/open", nil).trouble(http.StatusInternalServerError)
	assert.Equal(t, "somebody: the database is on strike", told.Error, "of the disk nothing is said")
}
