package workshop

import (
	"encoding/json"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/cmd/internal/jobfile/jobtest"
	"arctally/cmd/internal/virtualbox"
	"arctally/report/page"
	"arctally/report/page/live"
)

func (s *site) house() (h page.House) {
	s.t.Helper()
	s.ask(http.MethodGet, "/house", http.StatusOK, nil, &h)
	return h
}

// rowOf is the row of a record.
func (s *site) rowOf(record string) page.RecordRow {
	s.t.Helper()
	rows := s.house().Records
	k := slices.IndexFunc(rows, func(r page.RecordRow) bool { return r.Record == record })
	require.GreaterOrEqual(s.t, k, 0)
	return rows[k]
}

// TestServe_Restart ends the program in the middle of a job: the one that begins again says who
// was named, offers to go on with that record until somebody has ended it, and judges it.
func TestServe_Restart(t *testing.T) {
	job := jobtest.Short(t, "helix", jobtest.TenTurns)
	box := Options{Box: &virtualbox.Options{Speed: slowSpeed, Layers: 1, Faults: "arc-out"}}
	s := serveFolder(t, filepath.Dir(job), box)
	assert.Nil(t, s.house().Operator)
	assert.Nil(t, s.house().GoOn)
	s.start(page.StartRequest{Job: "job"})
	assert.Nil(t, s.house().GoOn, "it is being written")
	assert.Equal(t, new("Operator 1"), s.house().Operator, "of the job, while nobody else was named")
	s.until("an arc and a finding", func(l *live.State) bool { return l.ArcOn && l.Counts.Findings > 0 })
	s.ask(http.MethodPost, "/recording/notes", http.StatusCreated, page.NoteRequest{By: "Operator 7", Kind: page.NoteText, Value: "x"}, nil)
	assert.Equal(t, page.BeingJudged, s.rowOf("job").Judged.State)
	require.NoError(t, s.end())

	s = serveFolder(t, s.folder, box)
	assert.Equal(t, new("Operator 7"), s.house().Operator)
	open := s.house().GoOn
	require.NotNil(t, open)
	assert.Equal(t, []any{"job", new("job")}, []any{open.Record, open.JobFile})
	assert.Contains(t, *open.Job, "Demo loader")
	assert.NotNil(t, open.Since)
	assert.Contains(t, open.Words, "nobody has ended it")
	require.Eventually(t, func() bool { return s.rowOf("job").Judged.State == page.IsJudged }, longest, 10*time.Millisecond, "nobody asked for it")
	assert.NotNil(t, s.rowOf("job").OpenFindings)

	found := s.list("job").Findings
	require.NotEmpty(t, found)
	s.start(page.StartRequest{Job: "job", Record: open.Record, More: true})
	l := s.until("more", func(l *live.State) bool { return l.ArcOn && l.Counts.Passes == 1 && l.Counts.Findings >= len(found) })
	for _, a := range l.Alarms { // others may come: a slow machine hears the box late
		for _, f := range found {
			assert.False(t, a.Rule == f.Rule && a.Pass != nil && *a.Pass == f.Pass, "what was found before is in the record, and is no alarm again: %+v", a)
		}
	}
	s.ask(http.MethodDelete, "/recording", http.StatusOK, nil, nil)
	assert.Nil(t, s.house().GoOn, "somebody has ended it")
	assert.Equal(t, live.Ended, s.live().Phase)
	s.refused(http.MethodDelete, "/recording", http.StatusConflict, nil)
}

// TestServe_OpenRecord is ended without going on with it, and is not offered where it is gone.
func TestServe_OpenRecord(t *testing.T) {
	job := jobtest.Short(t, "helix", jobtest.TenTurns)
	box := Options{Box: &virtualbox.Options{Speed: slowSpeed, Layers: 1, Faults: virtualbox.NoFaults}}
	s := serveFolder(t, filepath.Dir(job), box)
	s.start(page.StartRequest{Job: "job"})
	s.until("an arc", func(l *live.State) bool { return l.ArcOn })
	require.NoError(t, s.end())
	require.NoError(t, os.Rename(filepath.Join(s.folder, "job.yaml"), filepath.Join(s.folder, "job.txt")))
	s = serveFolder(t, s.folder, box)
	open := s.house().GoOn
	require.NotNil(t, open)
	assert.Nil(t, open.JobFile)
	assert.Contains(t, open.Words, "cannot be gone on with")
	var ended page.Started
	s.ask(http.MethodDelete, "/recording", http.StatusOK, nil, &ended)
	assert.Equal(t, "job", ended.Record)
	assert.Nil(t, s.house().GoOn)
	require.NoError(t, s.end())

	require.NoError(t, os.WriteFile(filepath.Join(s.folder, memoryFile), []byte(`{"open":"gone","operator":"Operator 2"}`), 0o600))
	s = serveFolder(t, s.folder, box)
	assert.Nil(t, s.house().GoOn, "there is no such record")
	assert.Equal(t, new("Operator 2"), s.house().Operator)
	require.NoError(t, s.end())
	require.NoError(t, os.WriteFile(filepath.Join(s.folder, memoryFile), []byte("{"), 0o600))
	s = serveFolder(t, s.folder, box)
	assert.Nil(t, s.house().Operator, "what cannot be read is not remembered")
}

// TestServe_AlarmsAreSeenOnce: what one page touches goes from all of them, and a page that
// speaks of another recording touches nothing.
func TestServe_AlarmsAreSeenOnce(t *testing.T) {
	s := demoSite(t, jobtest.Short(t, "helix", jobtest.TwoTurns), boxSpeed)
	s.refused(http.MethodPost, "/live/seen", http.StatusConflict, page.SeenRequest{Record: "job"})
	s.refused(http.MethodGet, "/live/bead", http.StatusConflict, nil)
	s.start(page.StartRequest{Job: "job"})
	end := s.until("the end", over)
	require.NotEmpty(t, end.Alarms)
	assert.Positive(t, end.Counts.Findings)
	var bead live.Bead
	s.ask(http.MethodGet, "/live/bead", http.StatusOK, nil, &bead)
	assert.NotEmpty(t, bead.Pieces)
	s.refused(http.MethodPost, "/live/seen", http.StatusConflict, page.SeenRequest{Record: "another", IDs: []int64{end.Alarms[0].ID}})
	var left live.State
	s.ask(http.MethodPost, "/live/seen", http.StatusOK, page.SeenRequest{Record: "job", IDs: []int64{end.Alarms[0].ID, 4711}}, &left)
	assert.Equal(t, end.Alarms[1:], left.Alarms)
	assert.Equal(t, left.Alarms, s.live().Alarms, "a page that is loaded anew")
	events, leave := s.listen("")
	first := <-events
	for ; first.kind != "live"; first = <-events {
		continue
	}
	leave()
	var told live.State
	require.NoError(t, json.Unmarshal([]byte(first.data), &told))
	assert.Equal(t, left.Alarms, told.Alarms, "and one that listens")
}
