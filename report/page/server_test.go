package page

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"log/slog"
	"net"
	"net/http"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/analyze/compare"
	"arctally/analyze/procedure"
	"arctally/report/page/form"
	"arctally/report/page/live"
	"arctally/report/sheet"
)

// explained is what a program says of errors that are not of this room.
func explained(err error) (int, string) {
	var noPass *compare.NoPassError
	var flawed *procedure.Error
	switch {
	case errors.Is(err, fs.ErrNotExist), errors.As(err, &noPass):
		return http.StatusNotFound, "check the name and the folder"
	case errors.As(err, &flawed):
		return http.StatusUnprocessableEntity, "mend the file at the line and column shown"
	}
	return 0, "look at the log"
}

func newSite(t testing.TB) *site {
	s := &site{t: t, bench: newBench(), hub: NewHub(), contract: loadContract(), log: &bytes.Buffer{}}
	s.handler = visitedBy(AtTheMachine, s.strangers())
	return s
}

// strangers is the server as it is where nobody has looked who asks.
func (s *site) strangers() http.Handler {
	return Handler(Options{
		Workshop: s.bench, Explain: explained, Hub: s.hub, Hosts: []string{"shop-tablet"},
		Log: slog.New(slog.NewTextHandler(s.log, nil)),
	})
}

// visitedBy stands for the door: it has looked who asks.
func visitedBy(v Visitor, next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { next.ServeHTTP(w, r.WithContext(v.With(r.Context()))) })
}

func TestHouse(t *testing.T) {
	s := newSite(t)
	var house House
	a := s.get("/api/house", &house)
	assert.Equal(t, "no-store", a.header.Get("Cache-Control"))
	assert.Equal(t, "boom", house.Jobs[0].File)
	assert.Nil(t, house.Recording)

	s.bench.fails = errors.New("the disk is on strike")
	told := s.ask("GET", "/api/house", nil).trouble(http.StatusInternalServerError)
	assert.Equal(t, trouble{Error: "the disk is on strike", Hint: "look at the log"}, told)
	assert.Contains(t, s.log.String(), "the disk is on strike")
}

func TestForms(t *testing.T) {
	s := newSite(t)
	for _, kind := range form.Kinds {
		var f form.Form
		s.get("/api/forms/"+string(kind), &f)
		assert.Equal(t, form.Of(kind).Offering([]string{"procedures/gmaw.yaml"}), f)
	}
	assert.Empty(t, form.Of(form.Job).Groups[0].Fields[1].Choices, "the form itself is as it was")
	s.ask("GET", "/api/forms/invoice", nil).trouble(http.StatusNotFound)
}

func TestFiles_AreReadAsValues(t *testing.T) {
	s := newSite(t)
	var f filled
	a := s.get("/api/files/job/boom", &f)
	assert.Equal(t, f.ETag, a.header.Get("ETag"))
	assert.Equal(t, "92.0 mm", f.Values["bore.worn_diameter"])
	assert.Equal(t, string(s.bench.files["job/boom"]), f.Text)
	assert.Empty(t, f.Errors)
	s.ask("GET", "/api/files/job/none", nil).trouble(http.StatusNotFound)
	s.ask("GET", "/api/files/job/Upper", nil).trouble(http.StatusNotFound)
	s.ask("GET", "/api/files/job/..%2Fsecret", nil).trouble(http.StatusNotFound)
	s.ask("GET", "/api/files/invoice/boom", nil).trouble(http.StatusNotFound)
}

func TestFiles_ABrokenOneIsShownWithWhatIsWrong(t *testing.T) {
	s := newSite(t)
	var f filled
	s.get("/api/files/job/broken", &f)
	assert.Equal(t, map[string]string{"job": "A", "bore.worn_diameter": "92", "bore.lenght": "60 mm"}, f.Values)
	assert.Equal(t, string(s.bench.files["job/broken"]), f.Text)
	require.NotEmpty(t, f.Errors)
	for _, e := range f.Errors {
		assert.Positive(t, e.Line)
		assert.Positive(t, e.Column)
	}
}

func TestFiles_ASecondBrowserIsTold(t *testing.T) {
	s := newSite(t)
	etag := s.get("/api/files/job/boom", nil).header.Get("ETag")
	change := func(operator string, headers ...string) answer {
		return s.ask("PUT", "/api/files/job/boom", formValues{map[string]string{"people.operator": operator}}, headers...)
	}
	first := change("Operator 2", "If-Match", etag)
	require.Equal(t, http.StatusOK, first.status)
	var f filled
	first.into(&f)
	assert.Equal(t, "Operator 2", f.Values["people.operator"])
	assert.NotEqual(t, etag, first.header.Get("ETag"))
	assert.Equal(t, f.Text, string(s.bench.files["job/boom"]))

	told := change("Operator 3", "If-Match", etag).trouble(http.StatusPreconditionFailed)
	assert.Contains(t, told.Error, "somebody else")
	assert.Equal(t, f.Text, string(s.bench.files["job/boom"]), "nothing is written")
	change("Operator 3").trouble(http.StatusPreconditionRequired)
	change("Operator 3", "If-Match", "*").trouble(http.StatusPreconditionRequired)
	change("Operator 3", "If-Match", etag, "If-None-Match", "*").trouble(http.StatusPreconditionRequired)
	change("Operator 3", "If-None-Match", "*").trouble(http.StatusPreconditionFailed)
	change("Operator 3", "If-Match", first.header.Get("ETag"))
	assert.Contains(t, string(s.bench.files["job/boom"]), "Operator 3")
}

func TestFiles_ANewOneIsWrittenOnce(t *testing.T) {
	s := newSite(t)
	values := formValues{map[string]string{"procedure": "P", "process": "MAG", "limits.voltage": "16..19 V"}}
	s.ask("PUT", "/api/files/procedure/new", values, "If-Match", `"0"`).trouble(http.StatusPreconditionFailed)
	require.Equal(t, http.StatusOK, s.ask("PUT", "/api/files/procedure/new", values, "If-None-Match", "*").status)
	assert.Equal(t, "procedure: P\nprocess: MAG\nlimits:\n  voltage: 16..19 V\n", string(s.bench.files["procedure/new"]))
	s.ask("PUT", "/api/files/procedure/new", values, "If-None-Match", "*").trouble(http.StatusPreconditionFailed)
}

func TestFiles_WhatIsWrongIsToldByField(t *testing.T) {
	s := newSite(t)
	etag := s.get("/api/files/job/boom", nil).header.Get("ETag")
	put := func(body any) answer { return s.ask("PUT", "/api/files/job/boom", body, "If-Match", etag) }
	wrong := formValues{map[string]string{"bore.worn_diameter": "92", "setpoints.voltage": "0 V"}}
	assert.Equal(t, []string{"bore.worn_diameter", "setpoints.voltage"}, put(wrong).fields(422))
	assert.Equal(t, []string{"bore.depth"}, put(formValues{map[string]string{"bore.depth": "1 mm"}}).fields(422))
	assert.Equal(t, []string{"value"}, put(`{"value": {}}`).fields(422))
	assert.Equal(t, []string{"values"}, put(`{}`).fields(422))
	assert.Equal(t, []string{"values"}, put(`{"values": {"job": 5}}`).fields(422))
	assert.Empty(t, put(`{"values": {}`).fields(422))
	assert.Empty(t, put(`{"values": {}} {}`).fields(422))
	s.ask("PUT", "/api/files/job/boom", "values", "If-Match", etag, "Content-Type", "text/plain").trouble(http.StatusUnsupportedMediaType)
	put(append([]byte(`{"values": {"job": "`), append(bytes.Repeat([]byte("A"), mostJSON), `"}}`...)...)).trouble(http.StatusRequestEntityTooLarge)
}

func TestPlan(t *testing.T) {
	s := newSite(t)
	var p, changed sheet.PlanList
	a := s.ask("POST", "/api/plan", map[string]any{"file": "boom"})
	require.Equal(t, http.StatusOK, a.status, "%s", a.body)
	a.into(&p)
	assert.Len(t, p.Layers, 1)

	s.ask("POST", "/api/plan", map[string]any{"file": "boom", "values": map[string]string{"setpoints.travel_speed": "400 mm/min"}}).into(&changed)
	assert.Greater(t, *changed.Layers[0].TravelSpeed, *p.Layers[0].TravelSpeed)
	var values filled
	s.get("/api/files/job/boom", &values)
	s.ask("POST", "/api/plan", map[string]any{"values": values.Values}).into(&changed)
	assert.Equal(t, p, changed)

	assert.Equal(t, []string{"bore.length"}, s.ask("POST", "/api/plan", map[string]any{"file": "boom", "values": map[string]string{"bore.length": "60"}}).fields(422))
	s.ask("POST", "/api/plan", planRequest{}).trouble(422)
	s.ask("POST", "/api/plan", map[string]any{"file": "none"}).trouble(404)
	s.ask("POST", "/api/plan", planRequest{File: "../x"}).trouble(404)
}

func TestUnknown_IsToldInWords(t *testing.T) {
	s := newSite(t)
	assert.Contains(t, s.ask("GET", "/api/nowhere", nil).trouble(404).Error, "/api/nowhere")
	a := s.ask("PATCH", "/api/house", nil)
	a.trouble(http.StatusMethodNotAllowed)
	assert.Equal(t, []string{"GET"}, a.header.Values("Allow"))
	s.ask("GET", "/nowhere", nil).trouble(404)
	s.ask("PATCH", "/", nil).trouble(405)
}

func TestGuard_RefusesPagesOfOthers(t *testing.T) {
	s := newSite(t)
	start := StartRequest{Job: "boom"}
	for _, headers := range [][]string{
		{"Origin", "http://elsewhere.example"},
		{"Origin", "null"},
		{"Sec-Fetch-Site", "cross-site"},
		{"Sec-Fetch-Site", "same-site"},
		{"Sec-Fetch-Site", "cross-site", "Origin", "http://127.0.0.1:8080"},
	} {
		s.ask("POST", "/api/recording", start, headers...).trouble(http.StatusForbidden)
		s.ask("DELETE", "/api/recording", nil, headers...).trouble(http.StatusForbidden)
	}
	assert.Empty(t, s.bench.recording)
	require.Equal(t, 201, s.ask("POST", "/api/recording", start, "Origin", "http://127.0.0.1:8080", "Sec-Fetch-Site", "same-origin").status)
	require.Equal(t, 200, s.ask("DELETE", "/api/recording", nil).status, "another program has no origin")
}

func TestGuard_AnswersOnlyToItsNames(t *testing.T) {
	s := newSite(t)
	for _, host := range []string{"localhost", "localhost:8080", "127.0.0.1:8080", "[::1]:8080", "192.168.4.20", "Shop-Tablet:8080", "shop-tablet."} {
		assert.Equal(t, 200, s.ask("GET", "/api/house", nil, "Host", host).status, host)
	}
	for _, host := range []string{"elsewhere.example", "elsewhere.example:8080", "127.0.0.1.elsewhere.example", "", "localhost.elsewhere.example:80"} {
		s.ask("GET", "/api/house", nil, "Host", host).trouble(http.StatusMisdirectedRequest)
		s.ask("GET", "/", nil, "Host", host).trouble(http.StatusMisdirectedRequest)
	}
}

func TestGuard_AFallIsToldAndLogged(t *testing.T) {
	s := newSite(t)
	s.bench.panics = true
	assert.Equal(t, errBroken.Message, s.ask("GET", recordPath(""), nil).trouble(500).Error)
	assert.Contains(t, s.log.String(), "the bench fell over")
	assert.Contains(t, s.log.String(), "fake_test.go")
	s.bench.panics = false
	assert.Equal(t, 200, s.ask("GET", recordPath(""), nil).status)
}

func TestHandler_NeedsAllItsParts(t *testing.T) {
	assert.Panics(t, func() { Handler(Options{}) })
}

func TestNew_EndsItsStreamsWhenItIsShutDown(t *testing.T) {
	hub := NewHub()
	server := New(Options{Workshop: newBench(), Explain: explained, Hub: hub, Log: slog.New(slog.DiscardHandler)})
	server.Handler = visitedBy(AtTheMachine, server.Handler)
	assert.Equal(t, headerTime, server.ReadHeaderTimeout)
	assert.Equal(t, idleTime, server.IdleTimeout)
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	served := make(chan error, 1)
	go func() { served <- server.Serve(listener) }()

	response, err := http.Get("http://" + listener.Addr().String() + "/api/events")
	require.NoError(t, err)
	defer func() { require.NoError(t, response.Body.Close()) }()
	require.NoError(t, server.Shutdown(t.Context()), "it would wait for ever otherwise")
	require.ErrorIs(t, <-served, http.ErrServerClosed)
	text, err := io.ReadAll(response.Body)
	require.NoError(t, err)
	assert.Equal(t, "retry: 1000\n\n", string(text))
}

func TestLists_AreNeverNull(t *testing.T) {
	for _, value := range []any{House{}.whole(), wholeState(&live.State{})} {
		text, err := json.Marshal(value)
		require.NoError(t, err)
		assert.NotRegexp(t, `"(jobs|procedures|records|ports|channels|deviations|ring|gaps|last_findings)":null`, string(text))
	}
}
