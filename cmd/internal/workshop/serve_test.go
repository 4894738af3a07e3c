package workshop

import (
	"bytes"
	"context"
	"encoding/json"
	"image"
	"image/png"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/creack/pty"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/record"
	"arctally/acquire/sensorbox"
	"arctally/cmd/internal/check"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/jobfile/jobtest"
	"arctally/cmd/internal/review"
	"arctally/cmd/internal/virtualbox"
	"arctally/report/page"
	"arctally/report/page/live"
	"arctally/report/sheet"
)

// TestServe_AWholeJob goes the whole way: from the job file to the review, which
// is that of the command to the bit.
func TestServe_AWholeJob(t *testing.T) {
	s := demoSite(t, jobtest.Short(t, "helix", jobtest.TwoTurns), slowSpeed)
	events, leave := s.listen("")
	gone, kill := s.listen("")
	require.Equal(t, page.Started{Record: "job"}, s.start(page.StartRequest{Job: "job"}))
	told := s.refused(http.MethodPost, "/recording", http.StatusConflict, page.StartRequest{Job: "job"})
	assert.Contains(t, told.Error, "a recording runs already, into job")
	s.until("samples", func(l *live.State) bool { return l.Pass != nil })
	kill()
	for range gone { // what it had got before it was killed
		continue
	}
	var kept page.NoteKept
	s.ask(http.MethodPost, "/recording/notes", http.StatusCreated, page.NoteRequest{By: "Operator 1", Kind: page.NoteTemperature, Value: "120 degC"}, &kept)
	assert.Equal(t, "temperature 120 degC", kept.Said)
	s.ask(http.MethodPost, "/recording/notes", http.StatusCreated, page.NoteRequest{By: "Operator 1", Kind: page.NoteTorchAt, Value: "-90 deg"}, &kept)
	assert.Equal(t, page.NoteKept{Said: "torch at 270 deg", When: "now"}, kept)
	s.refused(http.MethodPost, "/recording/notes", http.StatusUnprocessableEntity, page.NoteRequest{By: "Operator 1", Kind: page.NoteTorchAt, Value: "400 deg"})
	s.ask(http.MethodPost, "/recording/notes", http.StatusCreated, page.NoteRequest{By: "Operator 1", Kind: page.NoteEndOfPass}, nil)
	s.refused(http.MethodPost, "/recording/notes", http.StatusUnprocessableEntity, page.NoteRequest{By: "Operator 1", Kind: page.NoteTemperature, Value: "hot"})
	s.refused(http.MethodPost, "/checks/job", http.StatusConflict, page.CheckRequest{Job: "job", Kind: "zero", Values: map[string]string{"channel": "voltage"}, Live: true})
	end := s.until("the end", over)
	require.Equal(t, live.Ended, end.Phase, "%+v", end.Trouble)
	assert.GreaterOrEqual(t, end.Counts.Passes, 2, "the pass was ended by hand")
	assert.Positive(t, end.Link.Lost, "a link loss was staged")
	status, answer := s.send(http.MethodGet, "/records/job", nil)
	require.Equal(t, http.StatusOK, status, "the review is ready at once: %s", answer)
	s.compareWithFile("job", answer)
	leave()
	checkEvents(t, events)
	require.NoError(t, record.Verify(filepath.Join(s.folder, "job.arctally")))
	assert.Equal(t, page.Started{Record: "job-2"}, s.start(page.StartRequest{Job: "job"}), "a record with samples is left alone")
}

// Two boxes are recorded side by side, and each is shown as it is heard.
func TestServe_TwoBoxes(t *testing.T) {
	box := virtualbox.Options{Speed: slowSpeed, Layers: 1, Faults: virtualbox.NoFaults, Beside: true}
	s := serveFolder(t, filepath.Dir(jobtest.Short(t, "helix", jobtest.OneTurn)), Options{Box: &box})
	require.Equal(t, page.Started{Record: "job"}, s.start(page.StartRequest{Job: "job"}))
	l := s.until("both boxes", func(l *live.State) bool {
		return len(l.Boxes) == 2 && l.Boxes[0].Link.Frames > 0 && l.Boxes[1].Link.Frames > 0 && l.Boxes[1].Serial != nil
	})
	assert.Equal(t, []int{0, 1}, []int{l.Boxes[0].Box, l.Boxes[1].Box})
	assert.Equal(t, "virtual sensor box beside", l.Boxes[1].Link.Port)
	assert.NotEqual(t, *l.Boxes[0].Serial, *l.Boxes[1].Serial)
	assert.Equal(t, l.Link.Frames, l.Boxes[0].Link.Frames)
	end := s.until("the end", over)
	require.Equal(t, live.Ended, end.Phase, "%+v", end.Trouble)
	status, answer := s.send(http.MethodGet, "/records/job", nil)
	require.Equal(t, http.StatusOK, status)
	s.compareWithFile("job", answer)
	var reviewed page.Reviewed
	require.NoError(t, json.Unmarshal(answer, &reviewed))
	boxes := map[int]int{}
	for _, e := range reviewed.Epochs {
		boxes[e.Box]++
	}
	assert.Equal(t, map[int]int{0: 1, 1: 1}, boxes)
	require.NoError(t, record.Verify(filepath.Join(s.folder, "job.arctally")))
}

// compareWithFile holds the review of a record that was judged live against
// what the commands print of the file.
func (s *site) compareWithFile(record string, answer []byte) {
	s.t.Helper()
	var reviewed page.Reviewed
	require.NoError(s.t, json.Unmarshal(answer, &reviewed))
	assert.False(s.t, reviewed.Recording)
	read, err := review.Judge(s.t.Context(), filepath.Join(s.folder, record+jobfile.RecordExtension), "", func(float64) {})
	require.NoError(s.t, err)
	var printed bytes.Buffer
	require.NoError(s.t, read.Export(s.t.Context(), &printed, review.Form{Format: review.FormatJSON}, func(float64) {}))
	require.NoError(s.t, read.Close())
	status, whole := s.send(http.MethodGet, "/records/"+record+"/file/json", nil)
	require.Equal(s.t, http.StatusOK, status)
	var want, got map[string]json.RawMessage
	require.NoError(s.t, json.Unmarshal(printed.Bytes(), &want))
	require.NoError(s.t, json.Unmarshal(whole, &got))
	for _, of := range []string{"passes", "findings", "causes", "warnings", "events"} {
		assert.Equal(s.t, string(want[of]), string(got[of]), of)
	}
	for _, of := range []func(sheet.Review) any{
		func(r sheet.Review) any { return r.Passes }, func(r sheet.Review) any { return r.Angles }, func(r sheet.Review) any { return r.Events },
		func(r sheet.Review) any { return r.Extents }, func(r sheet.Review) any { return r.Map },
	} {
		assert.Equal(s.t, of(read.Sheet().Review()), of(reviewed.Review))
	}
	s.asksForParts(record, read.Sheet())
}

// asksForParts holds what is asked for as a person looks at it against a sheet.
func (s *site) asksForParts(record string, want *sheet.Sheet) {
	s.t.Helper()
	var part sheet.PassPage
	s.ask(http.MethodGet, "/records/"+record+"/passes", http.StatusOK, nil, &part)
	assert.Equal(s.t, want.PassPage(0), part)
	var alone sheet.PassAlone
	s.ask(http.MethodGet, "/records/"+record+"/passes/1", http.StatusOK, nil, &alone)
	one, _ := want.PassAlone(1)
	assert.Equal(s.t, one, alone)
	var cell sheet.CellAlone
	s.ask(http.MethodGet, "/records/"+record+"/cells/0/2", http.StatusOK, nil, &cell)
	there, ok := want.CellAlone(0, 2)
	require.True(s.t, ok)
	assert.Equal(s.t, there, cell)
	s.refused(http.MethodGet, "/records/"+record+"/passes/999", http.StatusNotFound, nil)
	s.refused(http.MethodGet, "/records/"+record+"/cells/999/0", http.StatusNotFound, nil)
}

// list is the whole result of a record.
func (s *site) list(record string) (list struct {
	Passes   []sheet.PassRow
	Findings []sheet.FindingRow
},
) {
	s.t.Helper()
	s.review(record) // it is judged
	status, whole := s.send(http.MethodGet, "/records/"+record+"/file/json", nil)
	require.Equal(s.t, http.StatusOK, status)
	require.NoError(s.t, json.Unmarshal(whole, &list))
	return list
}

// checkEvents wants states and strips in order.
func checkEvents(t *testing.T, events <-chan happened) {
	t.Helper()
	counts, phases := map[string]int{}, []live.Phase{}
	last := -1.0
	for e := range events {
		require.NotEmpty(t, e.id)
		counts[e.kind]++
		switch e.kind {
		case "live":
			var l live.State
			require.NoError(t, json.Unmarshal([]byte(e.data), &l))
			if len(phases) == 0 || phases[len(phases)-1] != l.Phase {
				phases = append(phases, l.Phase)
			}
		case "strip":
			var strip live.Strip
			require.NoError(t, json.Unmarshal([]byte(e.data), &strip))
			for _, at := range strip.Lines[0].At {
				require.Greater(t, at, last, "a stretch came twice, or too late")
				last = at
			}
			require.GreaterOrEqual(t, strip.Step*live.CellsPerEvent, slowSpeed*live.Every.Seconds()-1e-9, "an event would hold too much")
		}
	}
	assert.Positive(t, counts["house"])
	assert.Positive(t, counts["strip"])
	if phases[0] == live.Waiting { // a page that is slow is told the newest state alone
		phases = phases[1:]
	}
	assert.Equal(t, []live.Phase{live.Running, live.Ended}, phases)
}

// TestServe_Away is a page that was away and comes back with the last event that
// it saw.
func TestServe_Away(t *testing.T) {
	s := turnSite(t, slowSpeed)
	events, leave := s.listen("")
	s.start(page.StartRequest{Job: "job"})
	seen, former := nextStrip(t, events)
	leave()
	s.until("the end", over)
	again, leave := s.listen(seen.id)
	_, missed := nextStrip(t, again)
	leave()
	last := former.Lines[0].At[len(former.Lines[0].At)-1]
	assert.InDelta(t, last+missed.Step, missed.Lines[0].At[0], missed.Step/2, "it goes on where the page left")
	restarted, leave := s.listen("another-17")
	kinds := []string{}
	for e := range restarted {
		if kinds = append(kinds, e.kind); e.kind == "restart" {
			break
		}
	}
	leave()
	assert.Contains(t, kinds, "restart")
}

// nextStrip waits for an event that tells of the voltage.
func nextStrip(t *testing.T, events <-chan happened) (seen happened, strip live.Strip) {
	t.Helper()
	for e := range events {
		require.NotEqual(t, "restart", e.kind)
		if e.kind != "strip" {
			continue
		}
		require.NoError(t, json.Unmarshal([]byte(e.data), &strip))
		if len(strip.Lines[0].At) > 0 {
			return e, strip
		}
	}
	require.Fail(t, "the stream ended")
	return seen, strip
}

// TestServe_Stop ends a recording by hand, goes on in it, and ends the program
// in the middle.
func TestServe_Stop(t *testing.T) {
	s := demoSite(t, jobtest.Short(t, "helix", jobtest.TenTurns), slowSpeed)
	s.refused(http.MethodDelete, "/recording", http.StatusConflict, nil)
	s.refused(http.MethodGet, "/recording/strip", http.StatusConflict, nil)
	var done page.CheckDone
	s.ask(http.MethodPost, "/checks/job", http.StatusCreated, page.CheckRequest{
		Job: "job", Kind: "zero", Values: map[string]string{"channel": "current", "by": "Operator 1"}, Live: true, For: "5 s",
	}, &done)
	assert.Contains(t, done.Text, "zero of current")
	s.start(page.StartRequest{Job: "job"})
	s.until("an arc", func(l *live.State) bool { return l.ArcOn && l.ArcTime > 5 })
	s.ask(http.MethodDelete, "/recording", http.StatusOK, nil, nil)
	l := s.live()
	assert.Equal(t, live.Ended, l.Phase)
	first := s.list("job")
	require.Len(t, first.Passes, 1, "what was laid after the check is in the same record")
	told := s.refused(http.MethodPost, "/recording", http.StatusConflict, page.StartRequest{Job: "job", Record: "job"})
	assert.Contains(t, told.Hint, "go on")
	s.start(page.StartRequest{Job: "job", Record: "job", More: true})
	s.until("more", func(l *live.State) bool {
		return l.ArcOn && l.ArcTime > float64(*first.Passes[0].ArcTime)+1
	})
	assert.True(t, s.review("job").Recording)
	require.NoError(t, s.end())
	require.NotContains(t, s.told.String(), "failed", "the last second is stored as the program ends")
	file := filepath.Join(s.folder, "job.arctally")
	require.NoError(t, record.Verify(file))
	r, err := review.Judge(t.Context(), file, "", func(float64) {})
	require.NoError(t, err)
	require.NoError(t, r.Close())
	require.Len(t, r.Result.Passes, 2)
	require.Len(t, r.Checks, 1)
}

// wiredSite serves a job whose box is a pair of pseudo-terminals.
func wiredSite(t *testing.T, job, port string) *site {
	text, err := os.ReadFile(job)
	require.NoError(t, err)
	text = bytes.Replace(text, []byte("/dev/serial/by-id/..."), []byte(port), 1)
	require.NoError(t, os.WriteFile(job, text, 0o600))
	return serveFolder(t, filepath.Dir(job), Options{})
}

// TestServe_Unplugged pulls the plug of a box in the middle of a pass.
func TestServe_Unplugged(t *testing.T) {
	job := jobtest.Short(t, "helix", jobtest.TenTurns)
	p, err := jobfile.Read(job)
	require.NoError(t, err)
	laid := virtualbox.Plan(p, 1, nil)
	laid.PlaySpeed = slowSpeed
	box, err := sensorbox.New(laid)
	require.NoError(t, err)
	name, err := box.Open()
	require.NoError(t, err)
	ctx, stop := context.WithCancel(t.Context())
	played := make(chan error, 1)
	go func() {
		_, err := box.Play(ctx)
		played <- err
	}()
	s := wiredSite(t, job, name)
	s.start(page.StartRequest{Job: "job"})
	l := s.until("an arc that is heard", func(l *live.State) bool { return l.ArcOn && l.Link.State == live.LinkGood })
	assert.Equal(t, name, l.Link.Port)
	stop()
	require.Error(t, <-played)
	s.until("silence", func(l *live.State) bool { return l.Link.State == live.LinkSilent })
	var kept page.NoteKept
	s.ask(http.MethodPost, "/recording/notes", http.StatusCreated, page.NoteRequest{By: "Operator 1", Kind: page.NoteText, Value: "the box is silent"}, &kept)
	require.NoError(t, box.Close())
	s.until("the plug", func(l *live.State) bool { return l.Link.State == live.LinkUnplugged })
	s.ask(http.MethodDelete, "/recording", http.StatusOK, nil, nil)
	r := s.review("job")
	assert.NotEmpty(t, r.Review.Passes)
	_, whole := s.send(http.MethodGet, "/records/job/file/json", nil)
	assert.Contains(t, string(whole), "the box is silent")
	_, answer := s.send(http.MethodGet, "/records/job", nil)
	s.compareWithFile("job", answer)
}

// TestServe_Failed wants every failure told, with what to do.
func TestServe_Failed(t *testing.T) {
	t.Run("missing", func(t *testing.T) {
		s := wiredSite(t, jobtest.Short(t, "helix", jobtest.TwoTurns), "/dev/not-plugged-in")
		s.start(page.StartRequest{Job: "job"})
		l := s.until("the end", over)
		require.Equal(t, live.Failed, l.Phase)
		assert.Contains(t, l.Trouble.Error, "missing")
		assert.Contains(t, l.Trouble.Hint, "serial adapter")
		assert.NoFileExists(t, filepath.Join(s.folder, "job.arctally"))
		assert.Eventually(t, func() bool { return strings.Contains(s.told.String(), "failed") }, 5*time.Minute, 10*time.Millisecond, "said after the page has heard")
		s.refused(http.MethodPost, "/recording/notes", http.StatusConflict, page.NoteRequest{By: "Operator 1", Kind: page.NoteText, Value: "x"})
	})
	t.Run("noise", func(t *testing.T) {
		master, slave, err := pty.Open()
		require.NoError(t, err)
		s := wiredSite(t, jobtest.Short(t, "helix", jobtest.TwoTurns), slave.Name())
		s.start(page.StartRequest{Job: "job"})
		l := s.until("the end", func(l *live.State) bool {
			_, err := master.Write(bytes.Repeat([]byte{0x55, 0}, 100))
			return err == nil && over(l)
		})
		require.Equal(t, live.Failed, l.Phase)
		assert.Contains(t, l.Trouble.Error, "no valid frame")
		assert.Contains(t, l.Trouble.Hint, "baud")
		require.NoError(t, master.Close())
		require.NoError(t, slave.Close())
	})
	t.Run("no-sensor", func(t *testing.T) {
		job := jobtest.Folder(t, "sensors: [{port: /dev/serial/by-id/..., link: binary, baud: 921600}]\n", "")
		s := serveFolder(t, filepath.Dir(job), Options{})
		told := s.refused(http.MethodPost, "/recording", http.StatusUnprocessableEntity, page.StartRequest{Job: "job"})
		assert.Contains(t, told.Error, "names no sensor")
		s.refused(http.MethodPost, "/recording", http.StatusNotFound, page.StartRequest{Job: "nowhere"})
		s.ask(http.MethodGet, "/recording", http.StatusOK, nil, nil)
	})
}

// TestServe_Inspection puts on record what a person found, and tells who comes second.
func TestServe_Inspection(t *testing.T) {
	s := turnSite(t, boxSpeed)
	s.start(page.StartRequest{Job: "job"})
	s.until("the end", over)
	before := s.review("job")
	findings := s.list("job").Findings
	require.NotEmpty(t, findings)
	entry := page.EntryRequest{By: "Inspector 1", Finding: findings[0].Number, Method: "visual", Result: "no indication", Decision: "accept"}
	var kept page.EntryKept
	s.ask(http.MethodPost, "/records/job/entries", http.StatusCreated, entry, &kept)
	before = s.review("job")
	assert.Equal(t, page.EntryKept{Number: 1, Entries: 1, Open: len(findings) - 1, OpenEvents: before.Review.Verdict.Events}, kept)
	entry.By = "Inspector 2"
	told := s.refused(http.MethodPost, "/records/job/entries", http.StatusConflict, entry)
	assert.Contains(t, told.Error, "Inspector 1")
	entry.Seen, entry.Corrects = 1, 1
	s.ask(http.MethodPost, "/records/job/entries", http.StatusCreated, entry, &kept)
	var encoded bytes.Buffer
	require.NoError(t, png.Encode(&encoded, image.NewGray(image.Rect(0, 0, 40, 30))))
	picture := encoded.Bytes()
	var photograph page.PhotographKept
	told = s.refused(http.MethodPost, "/records/job/photographs", http.StatusUnprocessableEntity, picture[:len(picture)-20])
	assert.Contains(t, told.Error, "photograph: it is broken")
	s.ask(http.MethodPost, "/records/job/photographs", http.StatusCreated, append(picture, "and a letter"...), &photograph)
	status, content := s.send(http.MethodGet, "/records/job/photographs/"+photograph.SHA256, nil)
	assert.Equal(t, http.StatusOK, status)
	assert.Equal(t, picture, content)
	s.ask(http.MethodPost, "/records/job/entries", http.StatusCreated, page.EntryRequest{
		By: "Machinist 1", Photographs: []page.EntryPhotograph{{SHA256: photograph.SHA256, Caption: "after the cut"}},
		Machining: &page.MachiningRequest{
			Stations:  []page.StationText{{Depth: "2 mm", Angle: "0 deg", Diameter: "90.02 mm"}, {Depth: "2 mm", Angle: "90 deg", Diameter: "90.03 mm"}},
			CleanedUp: "all round", Wanted: "90.00..90.05 mm", Instrument: "bore gauge 1",
		},
	}, &kept)
	assert.Equal(t, 3, kept.Number)
	s.asksAgain(kept.Number)
	s.review("job") // a note was among it, and it is judged anew
	status, answer := s.send(http.MethodGet, "/records/job", nil)
	require.Equal(t, http.StatusOK, status, "what is judged is there at once")
	s.compareWithFile("job", answer)
	for _, form := range []string{"pdf?paper=letter&units=us", "html", "json", "csv", "passes.csv", "findings.csv", "parquet"} {
		status, file := s.send(http.MethodGet, "/records/job/file/"+form, nil)
		require.Equal(t, http.StatusOK, status, form)
		assert.Greater(t, len(file), 500, form)
	}
	s.writesOn("lines: [Bore repair shop 1, 12 Harbour Road]")
	s.vanish("job")
	var whole page.Integrity
	s.ask(http.MethodGet, "/records/job/integrity", http.StatusOK, nil, &whole)
	assert.True(t, whole.Whole, whole.Text)
	s.ask(http.MethodPost, "/records/job/notes", http.StatusCreated, page.NoteRequest{By: "Operator 1", Kind: page.NoteText, Value: "cleaned"}, nil)
	after := s.review("job")
	assert.NotEqual(t, before.Review.Fingerprint, after.Review.Fingerprint)
	s.refused(http.MethodGet, "/records/job/comparison?pass=17", http.StatusUnprocessableEntity, nil)
	var h page.House
	s.ask(http.MethodGet, "/house", http.StatusOK, nil, &h)
	require.NotNil(t, h.Records[0].OpenFindings)
}

// writesOn lays a letterhead beside the jobs: the papers have it from then on, with what was
// measured around the events that are open.
func (s *site) writesOn(letterhead string) {
	require.NoError(s.t, os.WriteFile(filepath.Join(s.folder, "letterhead.yaml"), []byte(letterhead), 0o600))
	status, file := s.send(http.MethodGet, "/records/job/file/html", nil)
	require.Equal(s.t, http.StatusOK, status)
	assert.Contains(s.t, string(file), `<div class="letterhead"><span></span><p>Bore repair shop 1<br>12 Harbour Road</p></div>`)
	assert.Contains(s.t, string(file), `aria-label="Voltage, current and power around event`)
	require.NoError(s.t, os.WriteFile(filepath.Join(s.folder, "letterhead.yaml"), []byte("logos: none"), 0o600))
	told := s.refused(http.MethodGet, "/records/job/file/html", http.StatusUnprocessableEntity, nil)
	assert.Contains(s.t, told.Error, `no key "logos"`)
	require.NoError(s.t, os.Remove(filepath.Join(s.folder, "letterhead.yaml")))
}

// asksAgain is what a page is refused until it says it again, and an entry that says nothing.
func (s *site) asksAgain(last int) {
	s.t.Helper()
	name := page.EntryRequest{By: "Machinist 1", Seen: last, Machining: &page.MachiningRequest{CleanedUp: "not said"}}
	told := s.refused(http.MethodPost, "/records/job/entries", http.StatusUnprocessableEntity, name)
	assert.Contains(s.t, told.Error, "the entry says nothing but who makes it")

	wide := name
	wide.Machining = &page.MachiningRequest{
		Stations: []page.StationText{{Depth: "2 mm", Angle: "0 deg", Diameter: "9 m"}}, CleanedUp: "all round", Instrument: "bore gauge 1",
	}
	var doubted struct{ Fields []page.FieldProblem }
	s.ask(http.MethodPost, "/records/job/entries", http.StatusUnprocessableEntity, wide, &doubted)
	require.Len(s.t, doubted.Fields, 1)
	assert.Equal(s.t, "station 1 diameter", doubted.Fields[0].Field)
	assert.Equal(s.t, "station 1 diameter 9 m", doubted.Fields[0].Keep)
	wide.Sure = []string{doubted.Fields[0].Keep}
	s.ask(http.MethodPost, "/records/job/entries", http.StatusCreated, wide, nil)
	entries := s.review("job").Review.Machining
	require.NotNil(s.t, entries[len(entries)-1].Remark)
	assert.Contains(s.t, *entries[len(entries)-1].Remark, "kept on purpose: station 1 diameter 9 m")

	hot := page.NoteRequest{By: "Operator 1", Kind: page.NoteTemperature, Value: "1800 degC"}
	s.ask(http.MethodPost, "/records/job/notes", http.StatusUnprocessableEntity, hot, &doubted)
	require.Len(s.t, doubted.Fields, 1)
	hot.Sure = []string{doubted.Fields[0].Keep}
	var kept page.NoteKept
	s.ask(http.MethodPost, "/records/job/notes", http.StatusCreated, hot, &kept)
	assert.Contains(s.t, kept.Said, "kept on purpose: temperature 1800 degC")
}

// TestServe_Demo gives an empty folder a job.
func TestServe_Demo(t *testing.T) {
	s := serveFolder(t, t.TempDir(), Options{Box: &virtualbox.Options{Speed: boxSpeed, Layers: 1, Faults: virtualbox.NoFaults}})
	var h page.House
	s.ask(http.MethodGet, "/house", http.StatusOK, nil, &h)
	require.Len(t, h.Jobs, 1)
	require.Nil(t, h.Jobs[0].Error)
	assert.True(t, h.VirtualBox)
	var plan sheet.PlanList
	s.ask(http.MethodPost, "/plan", http.StatusOK, map[string]string{"file": h.Jobs[0].File}, &plan)
	assert.NotEmpty(t, plan.Layers)
	var kinds []page.CheckKind
	s.ask(http.MethodGet, "/check-kinds", http.StatusOK, nil, &kinds)
	require.Len(t, kinds, len(check.Kinds))
	for _, k := range kinds {
		assert.NotEmpty(t, k.Caution, k.Kind)
		for _, f := range k.Fields {
			assert.NotEmpty(t, f.Label, f.Key)
		}
	}
}
