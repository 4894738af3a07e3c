package page

import (
	"context"
	"io"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/foreign"
)

// The contract says of each operation who may ask for it, and the table of the routes says the same.
func TestRoutes_EachSaysWhoMayAsk(t *testing.T) {
	c := loadContract()
	for _, route := range (&server{}).routes() {
		method, path, _ := strings.Cut(route.pattern, " /api")
		said, ok := c.document.Paths.Find(path).GetOperation(method).Extensions["x-may"].([]any)
		require.True(t, ok, "%s: the contract does not say who may ask", route.pattern)
		var want []any
		for _, role := range route.may {
			if role == Stranger {
				role = "stranger"
			}
			want = append(want, string(role))
		}
		require.NotEmpty(t, want, "%s: nobody may ask for it", route.pattern)
		assert.Equal(t, want, said, route.pattern)
	}
}

// Nobody changes anything by looking, and a stranger gets no further than the door.
func TestRoutes_WhatARoleCannotBe(t *testing.T) {
	harmless := []string{"POST /api/plan", "POST /api/door", "DELETE /api/door"}
	for _, route := range (&server{}).routes() {
		if !strings.HasPrefix(route.pattern, "GET ") && !slices.Contains(harmless, route.pattern) {
			assert.NotContains(t, route.may, Look, route.pattern)
		}
		if !strings.HasSuffix(route.pattern, " /api/door") {
			assert.NotContains(t, route.may, Stranger, route.pattern)
		}
		if strings.Contains(route.pattern, "/api/devices") {
			assert.Equal(t, []Role{Manage}, route.may, route.pattern)
		}
		assert.Contains(t, route.may, Manage, route.pattern)
	}
}

// Every operation is asked for in every role: who may not is told so, and nothing is done.
func TestRoles_EachRequestOfEachRole(t *testing.T) {
	s := newSite(t)
	inner := s.strangers()
	for _, route := range (&server{}).routes() {
		method, path, _ := strings.Cut(route.pattern, " ")
		path = strings.NewReplacer("{kind}", "job", "{file}", "boom", "{record}", "boom%20pin", "{event}", "1", "{sha256}", strings.Repeat("a", 64), "{form}", "csv", "{device}", "0011223344556677", "{question}", "open").Replace(path)
		for _, role := range append([]Role{Stranger, "owner"}, Roles...) {
			ctx, gone := context.WithCancel(Visitor{ID: "7", Device: "Tablet 1", Role: role}.With(t.Context()))
			gone() // a stream would not end
			r := httptest.NewRequestWithContext(ctx, method, "http://127.0.0.1"+path, strings.NewReader("{}"))
			r.Header.Set("Content-Type", "text/plain") // no operation goes further with that
			w := httptest.NewRecorder()
			inner.ServeHTTP(w, r)
			refused := w.Code == http.StatusUnauthorized || w.Code == http.StatusForbidden
			assert.Equal(t, !slices.Contains(route.may, role), refused, "%s by %q: %d", route.pattern, role, w.Code)
			if refused {
				text, err := io.ReadAll(w.Body)
				require.NoError(t, err)
				assert.Contains(t, string(text), `"hint":"`)
			}
		}
	}
	assert.Empty(t, s.bench.recording)
}

func TestRoles_AreSaidInWords(t *testing.T) {
	s := newSite(t)
	s.handler = visitedBy(Visitor{ID: "7", Device: "Tablet 1", Role: Look}, s.strangers())
	told := s.ask("DELETE", "/api/recording", nil).trouble(http.StatusForbidden)
	assert.Equal(t, "Tablet 1 may look; this needs: operate", told.Error)
	told = s.ask("GET", "/api/devices", nil).trouble(http.StatusForbidden)
	assert.Equal(t, "Tablet 1 may look; this needs: manage", told.Error)
	s.handler = s.strangers()
	told = s.ask("GET", "/api/house", nil).trouble(http.StatusUnauthorized)
	assert.Contains(t, told.Hint, "pair")
	assert.Equal(t, 200, s.ask("GET", "/", nil).status, "the pages themselves are no secret: they show how to pair")
}

func TestSignedBy_SaysAtWhichDevice(t *testing.T) {
	at := Visitor{ID: "7", Device: "Tablet 1", Role: Inspect}.With(t.Context())
	assert.Equal(t, "Inspector 1, at Tablet 1 (inspect)", SignedBy(at, "Inspector 1"))
	assert.Equal(t, "Tablet 1 (inspect)", SignedBy(at, ""))
	assert.Equal(t, "Inspector 1", SignedBy(AtTheMachine.With(t.Context()), "Inspector 1"))
	for _, name := range []string{"Inspector 1", ""} {
		assert.Equal(t, name, NameOf(SignedBy(at, name)))
	}
	assert.Equal(t, "Smith, at night (2nd shift)", NameOf("Smith, at night (2nd shift)"))
}

// Nobody types a name that looks as if another device had signed it, or that is no name by its length.
func TestSignature_CannotBeTyped(t *testing.T) {
	s := newSite(t)
	for _, forged := range []string{"Inspector 1, at Tablet 9 (manage)", "Tablet 9 (inspect)", "X, at Tablet 9 (look) ", strings.Repeat("m", foreign.LongestName+1)} {
		for path, body := range map[string]any{
			recordPath("/entries"):    EntryRequest{By: forged, Finding: 1},
			recordPath("/notes"):      NoteRequest{By: forged, Kind: NoteText, Value: "x"},
			"/api/recording/notes":    NoteRequest{By: forged, Kind: NoteText, Value: "x"},
			"/api/recording":          StartRequest{Job: "boom", By: forged, Without: []string{"x"}},
			"/api/checks/boom":        CheckRequest{Job: "boom", Kind: "zero", Values: map[string]string{"by": forged}},
			"/api/checks/boom/offers": TakeOverRequest{Job: "boom", From: "x", By: forged},
		} {
			assert.Equal(t, []string{"by"}, s.ask("POST", path, body).fields(422), "%s %s", path, forged)
		}
	}
}

// A page of another server cannot have anything asked for in a reader's name, on loopback too.
func TestGuard_RefusesWhatAnotherSiteAsksToRead(t *testing.T) {
	s := newSite(t)
	for _, site := range []string{"cross-site", "same-site"} {
		s.ask("GET", recordPath("/file/pdf"), nil, "Sec-Fetch-Site", site).trouble(http.StatusForbidden)
	}
	assert.Equal(t, 200, s.ask("GET", "/api/house", nil, "Sec-Fetch-Site", "none").status, "an address that a person typed")
	assert.Equal(t, 200, s.ask("GET", "/", nil, "Sec-Fetch-Site", "cross-site").status, "a link to the pages")
}

func TestHarden_LetsABrowserDoNoMoreThanItMust(t *testing.T) {
	s := newSite(t)
	for _, path := range []string{"/", "/api/house", "/api/nowhere", "/nowhere"} {
		header := s.ask("GET", path, nil).header
		csp := header.Get("Content-Security-Policy")
		assert.NotContains(t, csp, "unsafe", path)
		assert.NotContains(t, csp, "*", path)
		assert.Contains(t, csp, "default-src 'none'", path)
		assert.Contains(t, csp, "frame-ancestors 'none'", path)
		assert.Contains(t, csp, "base-uri 'none'", path)
		for name, want := range map[string]string{
			"X-Content-Type-Options": "nosniff", "Referrer-Policy": "no-referrer", "Cross-Origin-Opener-Policy": "same-origin",
			"Cross-Origin-Resource-Policy": "same-origin", "Access-Control-Allow-Origin": "", "Server": "", "Strict-Transport-Security": "",
		} {
			assert.Equal(t, want, header.Get(name), "%s of %s", name, path)
		}
	}
}

func TestHomeDoor_LetsNobodyElseIn(t *testing.T) {
	s := newSite(t)
	var standing Standing
	s.get("/api/door", &standing)
	assert.Equal(t, Standing{Role: Manage, Here: true}, standing)
	var list DeviceList
	s.get("/api/devices", &list)
	assert.Equal(t, DeviceList{Devices: []DeviceRow{}}, list)
	s.ask("POST", "/api/door", PairRequest{"12345678", "Tablet 1"}).trouble(409)
	s.ask("DELETE", "/api/door", nil).trouble(409)
	s.ask("POST", "/api/devices", OfferRequest{Look}).trouble(409)
	assert.Equal(t, []string{"role"}, s.ask("POST", "/api/devices", map[string]string{"role": "owner"}).fields(422))
	assert.Equal(t, []string{"code", "name"}, s.ask("POST", "/api/door", PairRequest{}).fields(422))
	s.ask("DELETE", "/api/devices/x", nil).trouble(409)
}
