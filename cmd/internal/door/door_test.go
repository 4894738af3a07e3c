package door

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/report/page"
)

// house is a door before something that says who it was let in as.
type house struct {
	t     *testing.T
	door  *Door
	now   time.Time
	mutex sync.Mutex
	told  []string
	inner http.Handler
}

const (
	network = "192.0.2.77:40000"
	origin  = "https://machine.local:8470"
)

func newHouse(t *testing.T, shares *Shares) *house {
	t.Helper()
	h := &house{t: t, now: time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC)}
	d, err := New(Options{
		Folder: filepath.Join(t.TempDir(), "keys"), Hosts: []string{"shop-tablet"}, Address: "https://192.0.2.20:8470", Shares: shares,
		Names: func(host string) bool { return host == "machine.local" || host == "192.0.2.20" },
		Now: func() time.Time {
			h.mutex.Lock()
			defer h.mutex.Unlock()
			return h.now
		},
		Tell: func(format string, args ...any) {
			h.mutex.Lock()
			defer h.mutex.Unlock()
			h.told = append(h.told, fmt.Sprintf(format, args...))
		},
	})
	require.NoError(t, err)
	h.door = d
	h.inner = http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		v := page.VisitorOf(r.Context())
		_, _ = fmt.Fprintf(w, "%s|%s|%t", v.Device, v.Role, v.Here)
	})
	return h
}

func (h *house) later(by time.Duration) {
	h.mutex.Lock()
	defer h.mutex.Unlock()
	h.now = h.now.Add(by)
}

// ask sends a request from somewhere; headers are given as name, value, name, value.
func (h *house) ask(method, path, from string, headers ...string) *httptest.ResponseRecorder {
	h.t.Helper()
	r := httptest.NewRequestWithContext(h.t.Context(), method, "https://machine.local:8470"+path, nil)
	r.Host, r.RemoteAddr = "machine.local:8470", from
	if from == "here" {
		r = r.WithContext(context.WithValue(r.Context(), hereKey{}, true))
		r.Host, r.RemoteAddr = "127.0.0.1:8470", "127.0.0.1:50000"
	}
	if changes(method) {
		r.Header.Set("Origin", origin)
	}
	for k := 0; k < len(headers); k += 2 {
		if headers[k] == "Host" {
			r.Host = headers[k+1]
			continue
		}
		r.Header.Set(headers[k], headers[k+1])
	}
	w := httptest.NewRecorder()
	h.door.Handler(h.inner).ServeHTTP(w, r)
	return w
}

// at is the context of who stands before the door at an address.
func (h *house) at(client string, v page.Visitor) context.Context {
	return withClient(v.With(h.t.Context()), client)
}

// pair lets a device in, and gives the cookie that it shows.
func (h *house) pair(name string, role page.Role) (cookie *http.Cookie, header string) {
	h.t.Helper()
	offer, err := h.door.Offer(page.AtTheMachine.With(h.t.Context()), role)
	require.NoError(h.t, err)
	standing, cookie, err := h.door.Pair(h.at("192.0.2.77", page.Visitor{}), page.PairRequest{Code: offer.Code, Name: name})
	require.NoError(h.t, err)
	require.Equal(h.t, role, standing.Role)
	return cookie, cookie.Name + "=" + cookie.Value
}

func said(w *httptest.ResponseRecorder) string { return w.Body.String() }

func TestDoor_HereNeedsNoCeremony(t *testing.T) {
	h := newHouse(t, nil)
	assert.Equal(t, "|manage|true", said(h.ask("GET", "/", "here")))
	assert.Equal(t, "||false", said(h.ask("GET", "/", network)))
	assert.Equal(t, "||false", said(h.ask("GET", "/", "127.0.0.1:40000")), "an address says nothing: where it came in does")
}

// A name of somebody else that points here is no name of this machine: DNS rebinding.
func TestDoor_AnswersToItsOwnNamesAlone(t *testing.T) {
	h := newHouse(t, nil)
	for _, host := range []string{"elsewhere.example", "elsewhere.example:8470", "machine.local.elsewhere.example", "", "192.0.2.21", "127.0.0.1", "localhost"} {
		assert.Equal(t, 421, h.ask("GET", "/", network, "Host", host).Code, host)
	}
	for _, host := range []string{"elsewhere.example", "192.0.2.20", "0.0.0.0:8470", "", "machine.local", "localhost.elsewhere.example"} {
		assert.Equal(t, 421, h.ask("GET", "/", "here", "Host", host).Code, host)
	}
	for _, host := range []string{"localhost:8470", "LOCALHOST", "127.0.0.1:8470", "[::1]:8470", "127.0.0.9", "shop-tablet:8470"} {
		assert.Equal(t, 200, h.ask("GET", "/", "here", "Host", host).Code, host)
	}
	w := h.ask("GET", "/", network, "Host", "a\x1b[2J\"<script>")
	assert.NotContains(t, said(w), "\x1b")
	assert.Equal(t, "nosniff", w.Header().Get("X-Content-Type-Options"))
}

// What changes something comes from one of our own pages, whatever cookie it shows.
func TestDoor_RefusesWhatAnotherPageAsks(t *testing.T) {
	h := newHouse(t, nil)
	_, cookie := h.pair("Tablet 1", page.Operate)
	for _, from := range []string{"", "null", "https://elsewhere.example", "http://machine.local:8470", "https://machine.local", "https://machine.local:8471"} {
		for _, method := range []string{"POST", "PUT", "DELETE", "PATCH", "OPTIONS"} {
			assert.Equal(t, 403, h.ask(method, "/api/recording", network, "Cookie", cookie, "Origin", from).Code, "%s %s", method, from)
		}
	}
	assert.Equal(t, "Tablet 1|operate|false", said(h.ask("DELETE", "/api/recording", network, "Cookie", cookie)))
}

func TestCookie_IsWhatABrowserKeepsToItself(t *testing.T) {
	h := newHouse(t, nil)
	c, header := h.pair("Tablet 1", page.Look)
	assert.True(t, strings.HasPrefix(c.Name, "__Host-"))
	assert.True(t, c.Secure && c.HttpOnly)
	assert.Equal(t, http.SameSiteStrictMode, c.SameSite)
	assert.Equal(t, "/", c.Path)
	assert.Empty(t, c.Domain)
	assert.Equal(t, int(deviceLife.Seconds()), c.MaxAge)
	kept, err := os.ReadFile(filepath.Join(h.door.Folder, listFile))
	require.NoError(t, err)
	assert.NotContains(t, string(kept), c.Value, "only a hash is kept")
	assert.Contains(t, string(kept), hashOf(c.Value))
	info, err := os.Stat(filepath.Join(h.door.Folder, listFile))
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o600), info.Mode().Perm())
	for _, bad := range []string{
		cookieName + "=", cookieName + "=" + c.Value[1:], cookieName + "=" + c.Value + "A", cookieName + "=" + hashOf(c.Value),
		"arctally=" + c.Value, header + "; " + cookieName + "=" + strings.Repeat("A", 43), header + "; " + header, cookieName + "=" + strings.ToLower(c.Value),
	} {
		assert.Equal(t, "||false", said(h.ask("GET", "/", network, "Cookie", bad)), bad)
	}
	assert.Equal(t, "||false", said(h.ask("GET", "/?"+header, network)), "an address lets nobody in")
	assert.Equal(t, "Tablet 1|look|false", said(h.ask("GET", "/", network, "Cookie", header)))
}

func TestPairing_ACodeLetsOneDeviceInOnce(t *testing.T) {
	h := newHouse(t, nil)
	stranger := h.at("192.0.2.77", page.Visitor{})
	_, _, err := h.door.Pair(stranger, page.PairRequest{Code: "12345678", Name: "Tablet 1"})
	require.ErrorIs(t, err, errNoCode)
	offer, err := h.door.Offer(page.AtTheMachine.With(t.Context()), page.Inspect)
	require.NoError(t, err)
	assert.Regexp(t, `^\d{4} \d{4}$`, offer.Code)
	typed := strings.Replace(offer.Code, " ", "-", 1)
	first, _, err := h.door.Pair(stranger, page.PairRequest{Code: typed, Name: " Tablet 1 "})
	require.NoError(t, err)
	assert.Equal(t, page.Standing{Device: "Tablet 1", Role: page.Inspect, Network: true}, first)
	_, _, err = h.door.Pair(stranger, page.PairRequest{Code: typed, Name: "Tablet 2"})
	require.ErrorIs(t, err, errNoCode)

	old, err := h.door.Offer(page.AtTheMachine.With(t.Context()), page.Look)
	require.NoError(t, err)
	_, err = h.door.Offer(page.AtTheMachine.With(t.Context()), page.Look)
	require.NoError(t, err)
	_, _, err = h.door.Pair(stranger, page.PairRequest{Code: old.Code, Name: "Tablet 2"})
	require.ErrorContains(t, err, "wrong", "the code before is void")
	h.later(codeLife)
	_, _, err = h.door.Pair(h.at("192.0.2.78", page.Visitor{}), page.PairRequest{Code: h.door.code.figures, Name: "Tablet 2"})
	require.ErrorIs(t, err, errNoCode, "it holds for minutes")
}

func TestPairing_TooManyTriesHaveToWait(t *testing.T) {
	h := newHouse(t, nil)
	_, err := h.door.Offer(page.AtTheMachine.With(t.Context()), page.Look)
	require.NoError(t, err)
	wrong := "00000000"
	if h.door.code.figures == wrong {
		wrong = "00000001"
	}
	try := func(client string) *page.Problem {
		_, _, err := h.door.Pair(h.at(client, page.Visitor{}), page.PairRequest{Code: wrong, Name: "x"})
		p, ok := err.(*page.Problem)
		require.True(t, ok, "%v", err)
		return p
	}
	for range freeTries - 1 {
		assert.Zero(t, try("a").Wait)
	}
	assert.Equal(t, firstWait, try("a").Wait)
	assert.Equal(t, http.StatusTooManyRequests, try("a").Status)
	assert.Equal(t, 30, h.door.Standing(h.at("a", page.Visitor{})).WaitS)
	assert.Equal(t, freeTries, h.door.code.wrong, "a try that comes too soon is none")
	h.later(firstWait)
	assert.Equal(t, 2*firstWait, try("a").Wait, "it grows")
	_, _, err = h.door.Pair(h.at("a", page.Visitor{}), page.PairRequest{Code: h.door.code.figures, Name: "x"})
	require.ErrorContains(t, err, "too many", "even the right one waits")
	for k := range codeTries - freeTries - 1 {
		assert.Zero(t, try(fmt.Sprint("b", k)).Wait, "others need not wait")
	}
	require.Nil(t, h.door.code, "but all together have few tries")
	assert.Contains(t, strings.Join(h.told, "\n"), "the code is void")
	h.later(forgotten)
	assert.Zero(t, h.door.tries["a"].wait(h.door.Now()))
	for _, one := range []*tries{nil, {wrong: 500, last: h.now}} {
		assert.LessOrEqual(t, one.wait(h.now), longWait)
	}
	for k := range mostTriers + 100 {
		h.door.missed(fmt.Sprint(k), h.now)
	}
	assert.Len(t, h.door.tries, mostTriers, "who has many addresses fills no memory")
}

func TestPairing_NamesAndCodesThatAreNone(t *testing.T) {
	h := newHouse(t, nil)
	stranger := h.at("a", page.Visitor{})
	for _, name := range []string{" ", strings.Repeat("x", 41), "a\x1b[2J", "a\nb", "a, at b", "Tablet (manage)", "a\u202eb", "a\"b", "\xff"} {
		_, _, err := h.door.Pair(stranger, page.PairRequest{Code: "12345678", Name: name})
		require.Error(t, err, "%q", name)
		p, ok := err.(*page.Problem)
		require.True(t, ok)
		assert.Equal(t, 422, p.Status, "%q", name)
	}
	for _, code := range []string{"", "1234567", "123456789", "1234567x", "１２３４５６７８", strings.Repeat(" ", 40) + "12345678"} {
		_, _, err := h.door.Pair(stranger, page.PairRequest{Code: code, Name: "Tablet"})
		p, ok := err.(*page.Problem)
		require.True(t, ok)
		assert.Equal(t, 422, p.Status, "%q", code)
	}
	assert.Empty(t, h.door.tries)
	_, _, err := h.door.Pair(h.at("here", page.AtTheMachine), page.PairRequest{Code: "12345678", Name: "Tablet"})
	require.ErrorIs(t, err, errHere)
}

func TestDevices_AreToldApart(t *testing.T) {
	h := newHouse(t, nil)
	for range 3 {
		h.pair("Tablet", page.Look)
	}
	h.pair(strings.Repeat("x", mostName), page.Look)
	h.pair(strings.Repeat("x", mostName), page.Look)
	list, err := h.door.Devices(t.Context())
	require.NoError(t, err)
	var names []string
	for _, row := range list.Devices {
		names = append(names, row.Name)
	}
	assert.Equal(t, []string{"Tablet", "Tablet 2", "Tablet 3", strings.Repeat("x", mostName), strings.Repeat("x", mostName-2) + " 2"}, names)
	for range mostDevices - 5 {
		h.pair("Tablet", page.Look)
	}
	offer, err := h.door.Offer(page.AtTheMachine.With(t.Context()), page.Look)
	require.NoError(t, err)
	_, _, err = h.door.Pair(h.at("a", page.Visitor{}), page.PairRequest{Code: offer.Code, Name: "one more"})
	require.ErrorContains(t, err, "64 devices are paired already")
}

// A device that is paired again shows another token, and the former one is good for nothing.
func TestPairing_AnewChangesTheToken(t *testing.T) {
	h := newHouse(t, nil)
	_, before := h.pair("Tablet 1", page.Look)
	list, err := h.door.Devices(t.Context())
	require.NoError(t, err)
	offer, err := h.door.Offer(page.AtTheMachine.With(t.Context()), page.Manage)
	require.NoError(t, err)
	_, c, err := h.door.Pair(h.at("a", page.Visitor{ID: list.Devices[0].ID, Device: "Tablet 1", Role: page.Look}), page.PairRequest{Code: offer.Code, Name: "Tablet 1"})
	require.NoError(t, err)
	assert.Equal(t, int(managerLife.Seconds()), c.MaxAge, "who manages is asked again sooner")
	assert.Equal(t, "||false", said(h.ask("GET", "/", network, "Cookie", before)))
	assert.Equal(t, "Tablet 1|manage|false", said(h.ask("GET", "/", network, "Cookie", c.Name+"="+c.Value)))
	h.later(managerLife)
	assert.Equal(t, "||false", said(h.ask("GET", "/", network, "Cookie", c.Name+"="+c.Value)), "its time is over, whatever the browser keeps")
}

func TestRevoke_ShutsOutAtOnce(t *testing.T) {
	h := newHouse(t, nil)
	h.inner = http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path == page.StreamPath {
			<-r.Context().Done()
		}
		_, _ = io.WriteString(w, page.VisitorOf(r.Context()).Device)
	})
	_, one := h.pair("Tablet 1", page.Look)
	_, two := h.pair("Tablet 2", page.Look)
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		h.ask("GET", page.StreamPath, network, "Cookie", one)
	}()
	require.Eventually(t, func() bool {
		h.door.mutex.Lock()
		defer h.door.mutex.Unlock()
		return len(h.door.streams) == 1
	}, time.Minute, time.Millisecond)
	list, err := h.door.Devices(t.Context())
	require.NoError(t, err)
	require.NotNil(t, list.Devices[0].Seen)
	require.NoError(t, h.door.Revoke(t.Context(), list.Devices[0].ID))
	<-ended
	assert.Equal(t, "", said(h.ask("GET", "/", network, "Cookie", one)))
	assert.Equal(t, "Tablet 2", said(h.ask("GET", "/", network, "Cookie", two)))
	require.ErrorIs(t, h.door.Revoke(t.Context(), list.Devices[0].ID), os.ErrNotExist)

	// Another program shuts one out: it is seen with the next request, and by the streams that stay open.
	ended = make(chan struct{})
	go func() {
		defer close(ended)
		h.ask("GET", page.StreamPath, network, "Cookie", two)
	}()
	require.Eventually(t, func() bool {
		h.door.mutex.Lock()
		defer h.door.mutex.Unlock()
		return len(h.door.streams) == 1
	}, time.Minute, time.Millisecond)
	require.NoError(t, ShutOut(h.door.Folder, "Tablet 2", h.door.Now()))
	h.door.look()
	<-ended
	assert.Equal(t, "", said(h.ask("GET", "/", network, "Cookie", two)))
	require.ErrorIs(t, ShutOut(h.door.Folder, "Tablet 2", h.door.Now()), os.ErrNotExist)
	left, err := Listed(h.door.Folder, h.door.Now())
	require.NoError(t, err)
	assert.Empty(t, left)
}

func TestLeave_ForgetsTheDeviceThatAsks(t *testing.T) {
	h := newHouse(t, nil)
	_, cookie := h.pair("Tablet 1", page.Look)
	list, err := h.door.Devices(t.Context())
	require.NoError(t, err)
	c, err := h.door.Leave(h.at("a", page.Visitor{ID: list.Devices[0].ID}))
	require.NoError(t, err)
	assert.Negative(t, c.MaxAge)
	assert.Equal(t, "||false", said(h.ask("GET", "/", network, "Cookie", cookie)))
	_, err = h.door.Leave(h.at("here", page.AtTheMachine))
	require.Error(t, err)
}

// By a list that cannot be read nobody comes in, and the program says so when it begins.
func TestDevices_AListThatIsNoneLetsNobodyIn(t *testing.T) {
	h := newHouse(t, nil)
	_, cookie := h.pair("Tablet 1", page.Look)
	file := filepath.Join(h.door.Folder, listFile)
	whole, err := os.ReadFile(file)
	require.NoError(t, err)
	for name, spoil := range map[string]func() error{
		"torn": func() error { return os.WriteFile(file, whole[:len(whole)-9], 0o600) },
		"open": func() error { return os.Chmod(file, 0o644) },
		"newer": func() error {
			return os.WriteFile(file, []byte(strings.Replace(string(whole), `"version": 1`, `"version": 2`, 1)), 0o600)
		},
		"promoted": func() error {
			return os.WriteFile(file, []byte(strings.Replace(string(whole), `"look"`, `"owner"`, 1)), 0o600)
		},
		"more in it": func() error {
			return os.WriteFile(file, []byte(strings.Replace(string(whole), `"role"`, `"admin": true, "role"`, 1)), 0o600)
		},
	} {
		require.NoError(t, spoil(), name)
		assert.Equal(t, "||false", said(h.ask("GET", "/", network, "Cookie", cookie)), name)
		_, err := New(h.door.Options)
		var told *Error
		require.ErrorAs(t, err, &told, name)
		assert.NotEmpty(t, told.Hint())
		require.Error(t, ShutOut(h.door.Folder, "Tablet 1", h.now), name)
		require.NoError(t, os.WriteFile(file, whole, 0o600))
		require.NoError(t, os.Chmod(file, 0o600))
		assert.Equal(t, "Tablet 1|look|false", said(h.ask("GET", "/", network, "Cookie", cookie)), name)
	}
}

func FuzzParseList(f *testing.F) {
	f.Add([]byte(`{"version":1,"devices":[{"id":"0011223344556677","name":"Tablet 1","role":"look","hash":"` + strings.Repeat("a", 64) + `","paired":"2026-03-02T12:00:00Z","expires":"2026-04-02T12:00:00Z"}]}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		l, err := parseList(text)
		if err != nil {
			return
		}
		again, err := json.Marshal(l)
		require.NoError(t, err)
		same, err := parseList(again)
		require.NoError(t, err)
		require.Equal(t, len(l.Devices), len(same.Devices))
		for _, one := range l.Devices {
			require.NoError(t, checkName(one.Name))
			require.Contains(t, page.Roles, one.Role)
		}
	})
}

func FuzzReadCode(f *testing.F) {
	f.Add("1234 5678")
	f.Add("12-34-56-78")
	f.Fuzz(func(t *testing.T, typed string) {
		if figures, ok := readCode(typed); ok {
			require.Regexp(t, `^[0-9]{8}$`, figures)
			again, ok := readCode(figures)
			require.True(t, ok)
			require.Equal(t, figures, again)
		}
	})
}

func FuzzCookie(f *testing.F) {
	token, _ := newToken()
	f.Add(cookieName + "=" + token)
	f.Add("a=b; " + cookieName + `="` + token + `"`)
	f.Fuzz(func(t *testing.T, header string) {
		r := httptest.NewRequest(http.MethodGet, "/", nil)
		r.Header.Set("Cookie", header)
		if s := shown(r); s != "" {
			require.Len(t, s, 43)
			require.Contains(t, header, s)
		}
	})
}
