package workshop

import (
	"database/sql"
	"errors"
	"net/http"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/report/page"
	"arctally/report/sheet"
)

// events is the list of events of a record.
func (s *site) events(query string) (answer page.EventsAnswer) {
	s.t.Helper()
	s.ask(http.MethodGet, "/records/job/events"+query, http.StatusOK, nil, &answer)
	return answer
}

// recordTruth is what the banner says of the record itself.
func (s *site) recordTruth() string {
	for _, truth := range s.events("").List.Banner {
		if truth.Kind == sheet.OfRecord {
			return truth.Short
		}
	}
	return ""
}

// TestServe_Events has a person look through the events, verify the record, and decide on several at once.
func TestServe_Events(t *testing.T) {
	s := turnSite(t, boxSpeed)
	s.start(page.StartRequest{Job: "job"})
	s.until("the end", over)
	s.review("job")
	list := s.events("?units=us").List
	require.NotEmpty(t, list.Events)
	assert.Contains(t, list.Banner, sheet.Truth{Kind: sheet.OfSimulation, Sign: sheet.SignOutside, Short: "simulated", Words: "Simulated: a virtual sensor box said this, and nothing was welded."})
	s.refused(http.MethodGet, "/records/job/events/999", http.StatusUnprocessableEntity, nil)

	assert.Equal(t, "record not verified", s.recordTruth())
	s.ask(http.MethodGet, "/records/job/integrity", http.StatusOK, nil, nil)
	assert.Equal(t, "record verified", s.recordTruth())

	event := list.Events[0]
	entry := page.EntryRequest{By: "Inspector 1", Events: []int{event.Number}, Count: event.Findings + 1, Method: "visual", Result: "no indication", Decision: "accept"}
	told := s.refused(http.MethodPost, "/records/job/entries", http.StatusUnprocessableEntity, entry)
	assert.Contains(t, told.Error, "nothing was written")
	entry.Count = event.Findings
	for _, wrong := range [][]int{{event.Number, event.Number}, {event.Number, 999}, {999}} {
		bad := entry
		bad.Events = wrong
		s.refused(http.MethodPost, "/records/job/entries", http.StatusUnprocessableEntity, bad)
	}
	if other := list.Events[len(list.Events)-1]; other.Cause != event.Cause {
		bad := entry
		bad.Events, bad.Count = append(bad.Events, other.Number), event.Findings+other.Findings
		told = s.refused(http.MethodPost, "/records/job/entries", http.StatusUnprocessableEntity, bad)
		assert.Contains(t, told.Error, "of another cause")
	}
	var kept page.EntryKept
	s.ask(http.MethodPost, "/records/job/entries", http.StatusCreated, entry, &kept)
	assert.Equal(t, event.Findings, kept.Entries)
	after := s.events("").List
	assert.Equal(t, list.Open-1, after.Open)
	assert.Equal(t, event.Findings, after.Newest)
	assert.Equal(t, "record verified", s.recordTruth(), "what this program added itself it need not read again")
	var h page.House
	s.ask(http.MethodGet, "/house", http.StatusOK, nil, &h)
	require.NotNil(t, h.Records[0].Worst)

	db, err := sql.Open("sqlite", filepath.Join(s.folder, "job.arctally"))
	require.NoError(t, err)
	_, err = db.ExecContext(t.Context(), "UPDATE entries SET by = 'Inspector 2'")
	require.NoError(t, errors.Join(err, db.Close()))
	s.review("job")
	assert.Equal(t, "record not verified", s.recordTruth(), "somebody else wrote into it")
	var whole page.Integrity
	s.ask(http.MethodGet, "/records/job/integrity", http.StatusOK, nil, &whole)
	assert.False(t, whole.Whole)
	assert.NotEmpty(t, whole.Hint)
	assert.Equal(t, "record damaged", s.events("").List.Banner.Worst().Short)
	s.ask(http.MethodGet, "/house", http.StatusOK, nil, &h)
	assert.Contains(t, *h.Records[0].Worst, "record damaged, simulated")
}
