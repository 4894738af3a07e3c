package page

import (
	"bytes"
	"compress/gzip"
	"context"
	"encoding/json"
	"fmt"
	"image"
	"image/png"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/report/page/live"
	"arctally/report/sheet"
)

func TestChecks(t *testing.T) {
	s := newSite(t)
	var kinds []CheckKind
	s.get("/api/check-kinds", &kinds)
	var ports []PortRow
	s.get("/api/ports", &ports)
	require.Len(t, ports, 2)
	assert.Equal(t, "921600", ports[0].Values["baud"])
	assert.Empty(t, ports[1].Values)
	assert.Equal(t, "zero", kinds[0].Kind)
	var list checkList
	s.get("/api/checks/not%20there", &list)
	assert.Empty(t, list.Checks)
	assert.NotEmpty(t, list.Missing)
	s.get("/api/checks/boom%20pin", &list)
	assert.Len(t, list.Checks, 1)

	a := s.ask("POST", "/api/checks/boom%20pin", CheckRequest{Job: "boom", Kind: "zero", Values: map[string]string{"channel": "voltage"}})
	require.Equal(t, http.StatusCreated, a.status)
	s.ask("POST", "/api/checks/boom%20pin", CheckRequest{Job: "boom", Kind: "guess"}).trouble(422)
	assert.Equal(t, []string{"job", "kind"}, s.ask("POST", "/api/checks/boom%20pin", `{"values": {}}`).fields(422))
	assert.Equal(t, []string{"welder"}, s.ask("POST", "/api/checks/boom%20pin", `{"welder": 1}`).fields(422))
	s.ask("GET", "/api/checks/..%2Fx", nil).trouble(404)
}

func TestOffers(t *testing.T) {
	s := newSite(t)
	var list sheet.OfferList
	s.get("/api/checks/not%20there/offers", &list)
	assert.NotNil(t, list.Offers)
	assert.Empty(t, list.Offers)
	s.get("/api/checks/boom%20pin/offers", &list)
	assert.Len(t, list.Offers, 1)
	assert.Len(t, list.Refused, 1)
	take := func(r any) answer { return s.ask("POST", "/api/checks/boom%20pin/offers", r) }
	require.Equal(t, http.StatusCreated, take(TakeOverRequest{Job: "boom", From: "first.arctally", Number: 1}).status)
	take(TakeOverRequest{Job: "boom", From: "first.arctally", Number: 2}).trouble(409)
	assert.Equal(t, []string{"job", "from"}, take(`{"number": 1}`).fields(422))
}

func TestRecording_OneRunsAtATime(t *testing.T) {
	s := newSite(t)
	assert.Equal(t, "null\n", string(s.get("/api/recording", nil).body))
	s.ask("DELETE", "/api/recording", nil).trouble(409)
	s.ask("GET", "/api/recording/strip", nil).trouble(409)
	s.ask("POST", "/api/recording/notes", NoteRequest{By: "A", Kind: NoteEndOfPass}).trouble(409)
	s.ask("GET", "/api/live/bead", nil).trouble(409)
	s.ask("POST", "/api/live/seen", SeenRequest{Record: theRecord, IDs: []int64{1}}).trouble(409)

	start := func(r StartRequest) answer { return s.ask("POST", "/api/recording", r) }
	assert.Equal(t, []string{"job"}, start(StartRequest{}).fields(422))
	assert.Equal(t, []string{"record"}, start(StartRequest{Job: "boom", Record: "../x"}).fields(422))
	require.Equal(t, 201, start(StartRequest{Job: "boom"}).status)
	assert.Contains(t, start(StartRequest{Job: "boom"}).trouble(409).Error, "being recorded")

	var state live.State
	s.get("/api/recording", &state)
	assert.Equal(t, *someLive(), state)
	var strip live.Strip
	s.get("/api/recording/strip", &strip)
	assert.Equal(t, someStrip(), strip)
	var bead live.Bead
	s.get("/api/live/bead", &bead)
	assert.Equal(t, 2, bead.Pieces[0].Turn)
	seen := s.ask("POST", "/api/live/seen", SeenRequest{Record: theRecord, IDs: []int64{1}, More: true})
	require.Equal(t, 200, seen.status)
	seen.into(&state)
	assert.Equal(t, *someLive(), state)
	assert.Equal(t, []string{"record"}, s.ask("POST", "/api/live/seen", `{"ids": [1]}`).fields(422))
	require.Equal(t, 201, s.ask("POST", "/api/recording/notes", NoteRequest{By: "A", Kind: NoteTemperature, Value: "180 degC"}).status)
	require.Equal(t, 201, s.ask("POST", "/api/recording/notes", NoteRequest{By: "A", Kind: NoteTorchAt, Value: "90 deg"}).status)
	assert.Equal(t, []string{"value"}, s.ask("POST", "/api/recording/notes", NoteRequest{By: "A", Kind: NoteTorchAt}).fields(422))
	require.Equal(t, 201, s.ask("POST", "/api/recording/notes", NoteRequest{By: "A", Kind: NoteEndOfPass}).status)
	assert.Equal(t, []string{"by", "value"}, s.ask("POST", "/api/recording/notes", NoteRequest{Kind: NoteText}).fields(422))
	assert.Equal(t, []string{"kind"}, s.ask("POST", "/api/recording/notes", NoteRequest{By: "A", Kind: "poem", Value: "x"}).fields(422))
	require.Equal(t, 200, s.ask("DELETE", "/api/recording", nil).status)
}

func TestReview(t *testing.T) {
	s := newSite(t)
	var r Reviewed
	s.get(recordPath(""), &r)
	assert.NotEmpty(t, r.Review.Passes)
	assert.NotEmpty(t, r.Review.Events)
	assert.NotEmpty(t, r.Review.Map.Views)
	s.ask("GET", "/api/records/none", nil).trouble(404)
	s.ask("GET", "/api/records/.hidden", nil).trouble(404)

	s.bench.judging = true
	a := s.ask("GET", recordPath(""), nil)
	require.Equal(t, http.StatusAccepted, a.status)
	assert.JSONEq(t, `{"progress": 0.25}`, string(a.body))
}

func TestReview_IsSentCompressed(t *testing.T) {
	s := newSite(t)
	plain := s.get(recordPath(""), nil)
	r := httptest.NewRequest("GET", "http://localhost"+recordPath(""), nil)
	r.Header.Set("Accept-Encoding", "gzip")
	w := httptest.NewRecorder()
	s.handler.ServeHTTP(w, r)
	assert.Equal(t, "gzip", w.Header().Get("Content-Encoding"))
	assert.Less(t, w.Body.Len(), len(plain.body)/2)
	reader, err := gzip.NewReader(w.Body)
	require.NoError(t, err)
	text, err := io.ReadAll(reader)
	require.NoError(t, err)
	assert.Equal(t, string(plain.body), string(text))
}

func TestTrace(t *testing.T) {
	s := newSite(t)
	var traced struct {
		Lines []struct {
			Channel string     `json:"channel"`
			At      []int64    `json:"at_ns"`
			Value   []*float64 `json:"value"`
		} `json:"lines"`
	}
	s.get(recordPath("/trace?epoch=0&from=0&until=40000000000&columns=100"), &traced)
	require.Len(t, traced.Lines, 2)
	assert.Equal(t, "voltage", traced.Lines[0].Channel)
	assert.NotEmpty(t, traced.Lines[0].At)
	s.get(recordPath("/trace?epoch=0&from=-5&until=400000&columns=100&channels=current"), &traced)
	require.Len(t, traced.Lines, 1)

	for query, fields := range map[string][]string{
		"":                                     {"epoch", "from", "until", "columns"},
		"?epoch=0&from=0&until=0&columns=5":    {"until"},
		"?epoch=x&from=0&until=9&columns=0":    {"epoch", "columns"},
		"?epoch=0&from=0&until=9&columns=9999": {"columns"},
		"?epoch=0&from=0&until=9&columns=1&channels=smell": {"channels"},
	} {
		assert.Equal(t, fields, s.ask("GET", recordPath("/trace"+query), nil).fields(422), query)
	}
}

func TestComparison(t *testing.T) {
	s := newSite(t)
	var c sheet.ComparisonObject
	require.GreaterOrEqual(t, len(s.bench.result.Passes), 2)
	s.get(recordPath("/comparison?pass=1&with=2"), &c)
	assert.NotEmpty(t, c.Bins)
	s.ask("GET", recordPath("/comparison?pass=1&with=77"), nil).trouble(404)
	assert.Equal(t, []string{"pass"}, s.ask("GET", recordPath("/comparison"), nil).fields(422))
	assert.Equal(t, []string{"with"}, s.ask("GET", recordPath("/comparison?pass=1&with=1"), nil).fields(422))
	s.bench.judging = true
	require.Equal(t, http.StatusAccepted, s.ask("GET", recordPath("/comparison?pass=1&with=2"), nil).status)
}

func TestEntries_ASecondPersonIsTold(t *testing.T) {
	s := newSite(t)
	accept := EntryRequest{By: "Inspector 1", Finding: 1, Method: "visual", Result: "no indication", Decision: "accept", Remark: "ground flush"}
	enter := func(e any) answer { return s.ask("POST", recordPath("/entries"), e) }
	var kept EntryKept
	a := s.ask("POST", recordPath("/entries"), map[string]any{
		"by": accept.By, "finding": 1, "method": accept.Method, "result": accept.Result, "decision": accept.Decision, "remark": accept.Remark,
	})
	require.Equal(t, 201, a.status, "%s", a.body)
	a.into(&kept)
	assert.Equal(t, 1, kept.Number)
	body := func(seen int) map[string]any {
		return map[string]any{"by": "Inspector 2", "seen": seen, "machining": map[string]any{
			"stations": []map[string]string{{"depth": "10 mm", "angle": "0 deg", "diameter": "90 mm"}}, "instrument": "gauge 4", "cleaned_up": "all round",
		}}
	}
	enter(body(0)).trouble(409)
	require.Equal(t, 201, enter(body(1)).status)

	var list struct{ Entries []entryRow }
	s.get(recordPath("/entries"), &list)
	require.Len(t, list.Entries, 2)
	assert.Equal(t, "2026-05-04T07:30:00.000000Z", list.Entries[0].At)
	assert.Equal(t, "ground flush", list.Entries[0].Disposition.Remark)
	assert.Contains(t, string(list.Entries[1].Machining), `"gauge 4"`)

	assert.Equal(t, []string{"by"}, enter(`{}`).fields(422))
	assert.Equal(t, []string{"finding"}, enter(`{"by": "A"}`).fields(422))
	assert.Equal(t, []string{"finding"}, enter(`{"by": "A", "finding": 1, "event": 1}`).fields(422))
	assert.Equal(t, []string{"finding"}, enter(`{"by": "A", "event": -1}`).fields(422))
	assert.Equal(t, []string{"method"}, enter(`{"by": "A", "seen": 2, "finding": 1, "method": "smell"}`).fields(422))
	assert.Equal(t, []string{"accepted"}, enter(`{"by": "A", "accepted": true}`).fields(422))
	var r Reviewed
	s.get(recordPath(""), &r)
	assert.NotNil(t, s.bench.sheet().FindingList().Findings[0].Disposition)
	assert.NotEmpty(t, r.Review.Machining)
}

// An event is decided on as one: an entry about each of its findings.
func TestEntries_OfAnEvent(t *testing.T) {
	s := newSite(t)
	list := s.bench.sheet().FindingList()
	events := list.Events
	require.NotEmpty(t, events)
	a := s.ask("POST", recordPath("/entries"), map[string]any{
		"by": "Inspector 1", "event": events[0].Number, "method": "visual", "result": "no indication", "decision": "accept",
	})
	require.Equal(t, 201, a.status, "%s", a.body)
	var kept EntryKept
	a.into(&kept)
	assert.Equal(t, EntryKept{Number: 1, Entries: len(events[0].Findings), Open: len(list.Findings) - len(events[0].Findings), OpenEvents: len(events) - 1}, kept)
	var r Reviewed
	s.get(recordPath(""), &r)
	assert.Equal(t, "accepted", r.Review.Events[0].State)
}

func picture(t *testing.T) []byte {
	var b bytes.Buffer
	require.NoError(t, png.Encode(&b, image.NewGray(image.Rect(0, 0, 4, 4))))
	return b.Bytes()
}

func TestPhotographs(t *testing.T) {
	s := newSite(t)
	add := func(content []byte, kind string) answer {
		return s.ask("POST", recordPath("/photographs"), content, "Content-Type", kind)
	}
	content := picture(t)
	a := add(content, "image/png")
	require.Equal(t, 201, a.status, "%s", a.body)
	var kept PhotographKept
	a.into(&kept)
	assert.EqualValues(t, len(content), kept.Bytes)

	got := s.ask("GET", recordPath("/photographs/"+kept.SHA256), nil)
	assert.Equal(t, content, got.body)
	assert.Contains(t, got.header.Get("Cache-Control"), "immutable")
	assert.Equal(t, "image/png", got.header.Get("Content-Type"))
	s.ask("GET", recordPath("/photographs/"+strings.Repeat("0", 64)), nil).trouble(404)
	s.ask("GET", recordPath("/photographs/nowhere"), nil).trouble(404)

	add(content, "image/jpeg").trouble(415)
	add(content, "image/gif").trouble(415)
	add([]byte("<html>"), "image/png").trouble(415)
	add(nil, "image/png").trouble(415)
	assert.Contains(t, add(make([]byte, MaxPhotograph+1), "image/png").trouble(413).Error, "16 MiB")
}

// unread is a body that nobody must read.
type unread struct{ t *testing.T }

func (u unread) Read([]byte) (int, error) {
	u.t.Error("a photograph of 100 MB was read")
	return 0, io.EOF
}

func TestPhotographs_ATooLargeOneIsRefusedUnread(t *testing.T) {
	s := newSite(t)
	r := httptest.NewRequest("POST", "http://localhost"+recordPath("/photographs"), unread{t})
	r.ContentLength = 100 << 20
	r.Header.Set("Content-Type", "image/jpeg")
	w := httptest.NewRecorder()
	s.handler.ServeHTTP(w, r)
	answer{t, w.Code, w.Header(), w.Body.Bytes()}.trouble(413)
	assert.Equal(t, "close", w.Header().Get("Connection"))
}

func TestPhotographs_ATooLargeOneIsRefusedWhereItHidesItsLength(t *testing.T) {
	s := newSite(t)
	live := httptest.NewServer(s.handler)
	defer live.Close()
	response, err := http.Post(live.URL+recordPath("/photographs"), "image/jpeg", io.MultiReader(bytes.NewReader(make([]byte, 100<<20)))) // in chunks
	require.NoError(t, err)
	defer func() { require.NoError(t, response.Body.Close()) }()
	body, err := io.ReadAll(response.Body)
	require.NoError(t, err)
	answer{t, response.StatusCode, response.Header, body}.trouble(413)
	assert.Empty(t, s.bench.photographs)
}

func TestNotes(t *testing.T) {
	s := newSite(t)
	a := s.ask("POST", recordPath("/notes"), map[string]string{"by": "A", "kind": "gas_flow", "value": "15 L/min", "at": "09:30"})
	require.Equal(t, 201, a.status)
	assert.Equal(t, []NoteRequest{{By: "A", Kind: NoteGasFlow, Value: "15 L/min", At: "09:30"}}, s.bench.notes)
	s.ask("POST", "/api/records/none/notes", NoteRequest{By: "A", Kind: NoteText, Value: "x"}).trouble(404)
}

func TestFile(t *testing.T) {
	s := newSite(t)
	a := s.get(recordPath("/file/pdf?paper=letter&units=us"), nil)
	assert.Equal(t, "pdf letter 1", string(a.body))
	assert.Equal(t, `inline; filename="boom pin.pdf"`, a.header.Get("Content-Disposition"))
	assert.Equal(t, "passes.csv a4 0", string(s.get(recordPath("/file/passes.csv"), nil).body))
	html := s.get(recordPath("/file/html"), nil)
	assert.Equal(t, drawnPolicy, html.header.Get("Content-Security-Policy"))
	assert.Contains(t, string(html.body), "<html")

	s.ask("GET", recordPath("/file/docx"), nil).trouble(404)
	assert.Equal(t, []string{"paper"}, s.ask("GET", recordPath("/file/pdf?paper=a5"), nil).fields(422))
	assert.Equal(t, []string{"units"}, s.ask("GET", recordPath("/file/pdf?units=cubits"), nil).fields(422))
	failed := s.ask("GET", "/api/records/none/file/csv", nil)
	failed.trouble(404)
	assert.Empty(t, failed.header.Get("Content-Disposition"), "a sentence is no file")
}

// The first rows of the samples come before the last are made, in fewer bytes;
// and who goes away leaves nobody at work.
func TestFile_SamplesAreStreamed(t *testing.T) {
	s := newSite(t)
	left := make(chan error, 1)
	s.bench.rows = func(ctx context.Context, w io.Writer) error {
		for k := 0; ctx.Err() == nil; k++ {
			if _, err := fmt.Fprintf(w, "%d,17.5,140\n", k); err != nil {
				left <- err
				return err
			}
		}
		left <- ctx.Err()
		return ctx.Err()
	}
	live := httptest.NewServer(s.handler)
	defer live.Close()
	request, err := http.NewRequest("GET", live.URL+recordPath("/file/csv"), http.NoBody)
	require.NoError(t, err)
	request.Header.Set("Accept-Encoding", "gzip")
	response, err := http.DefaultClient.Do(request)
	require.NoError(t, err)
	assert.Equal(t, "gzip", response.Header.Get("Content-Encoding"))
	assert.Equal(t, `attachment; filename="boom pin.csv"`, response.Header.Get("Content-Disposition"))
	reader, err := gzip.NewReader(response.Body)
	require.NoError(t, err)
	first := make([]byte, 12)
	_, err = io.ReadFull(reader, first)
	require.NoError(t, err)
	assert.Equal(t, "0,17.5,140\n1", string(first))
	require.NoError(t, response.Body.Close())
	require.Error(t, <-left)
}

func TestFile_ABrokenOffOneIsCutOff(t *testing.T) {
	s := newSite(t)
	live := httptest.NewServer(s.handler)
	response, err := http.Get(live.URL + recordPath("/file/parquet"))
	if err == nil {
		_, err = io.ReadAll(response.Body)
		require.NoError(t, response.Body.Close())
	}
	require.Error(t, err, "nobody takes a part for the whole")
	live.Close()
	assert.Contains(t, s.log.String(), "unexpected EOF")
}

func TestIntegrity(t *testing.T) {
	s := newSite(t)
	var i Integrity
	s.get(recordPath("/integrity"), &i)
	assert.True(t, i.Whole)
}

func TestEvents_AreStreamed(t *testing.T) {
	s := newSite(t)
	live := httptest.NewServer(s.handler)
	defer live.Close()
	defer s.hub.Close()
	s.hub.Live(someLive())
	response, err := http.Get(live.URL + "/api/events")
	require.NoError(t, err)
	defer func() { require.NoError(t, response.Body.Close()) }()
	assert.Empty(t, response.Header.Get("Content-Encoding"))
	assert.Equal(t, policy, response.Header.Get("Content-Security-Policy"))
	b := make([]byte, 4096)
	n, err := io.ReadAtLeast(response.Body, b, len("retry: 1000\n\nid: "))
	require.NoError(t, err)
	assert.True(t, strings.HasPrefix(string(b[:n]), "retry: 1000\n\n"))

	s.hub.Close()
	s.ask("GET", "/api/events", nil).trouble(http.StatusServiceUnavailable)
}

func TestEvents_HoldTheContract(t *testing.T) {
	c := loadContract()
	for name, value := range map[string]any{"Live": someLive(), "Strip": someStrip()} {
		text, err := json.Marshal(value)
		require.NoError(t, err)
		var plain any
		require.NoError(t, json.Unmarshal(text, &plain))
		require.NoError(t, c.document.Components.Schemas[name].Value.VisitJSON(plain), name)
	}
}

func TestContractItselfIsServed(t *testing.T) {
	s := newSite(t)
	a := s.get("/api/openapi.yaml", nil)
	assert.Equal(t, string(contractText), string(a.body))
}

func TestHead_IsAGetWithoutBody(t *testing.T) {
	s := newSite(t)
	live := httptest.NewServer(s.handler)
	defer live.Close()
	for _, path := range []string{"/", "/api/house", "/api/files/job/boom", recordPath(""), recordPath("/file/pdf"), "/api/events"} {
		response, err := http.Head(live.URL + path)
		require.NoError(t, err)
		require.NoError(t, response.Body.Close())
		assert.Equal(t, http.StatusOK, response.StatusCode, path)
		assert.NotEmpty(t, response.Header.Get("Content-Type"), path)
	}
}

func TestAssets(t *testing.T) {
	a := newAssets(fstest.MapFS{
		"index.html": {Data: []byte("<!doctype html><title>pages</title>")}, "app.js": {Data: []byte("let a = 1")}, "app.css": {Data: []byte("a{}")},
		".keep": {}, "sub/icon.svg": {Data: []byte("<svg/>")},
	})
	s := streaming(NewHub())
	ask := func(path string, headers ...string) *httptest.ResponseRecorder {
		r := httptest.NewRequest("GET", path, nil)
		for k := 0; k < len(headers); k += 2 {
			r.Header.Set(headers[k], headers[k+1])
		}
		w := httptest.NewRecorder()
		s.answering(a.serve)(w, r)
		return w
	}
	for path, media := range map[string]string{
		"/": "text/html; charset=utf-8", "/index.html": "text/html; charset=utf-8", "/app.js": "text/javascript; charset=utf-8",
		"/app.css": "text/css; charset=utf-8", "/sub/icon.svg": "image/svg+xml",
	} {
		w := ask(path)
		require.Equal(t, 200, w.Code, path)
		assert.Equal(t, media, w.Header().Get("Content-Type"))
		assert.Equal(t, "no-cache", w.Header().Get("Cache-Control"))
		again := ask(path, "If-None-Match", w.Header().Get("ETag"))
		assert.Equal(t, http.StatusNotModified, again.Code)
		assert.Empty(t, again.Body.String())
	}
	assert.Contains(t, ask("/").Body.String(), "<title>pages</title>")
	for _, path := range []string{"/.keep", "/sub/", "/sub", "/../server.go", "/none.js"} {
		assert.Equal(t, 404, ask(path).Code, path)
	}

	unbundled := newAssets(fstest.MapFS{".keep": {}})
	assert.Contains(t, string(unbundled[indexFile].content), "make build")
}
