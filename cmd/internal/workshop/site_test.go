package workshop

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"io"
	"net"
	"net/http"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/cmd/internal/apart/aparttest"
	"arctally/cmd/internal/jobfile/jobtest"
	"arctally/cmd/internal/terminal"
	"arctally/cmd/internal/virtualbox"
	"arctally/report/page"
	"arctally/report/page/live"
)

// site is a folder that is served for a test.
type site struct {
	t      testing.TB
	folder string
	base   string
	told   *saying
	end    func() error
	client *http.Client // nil is one at the machine itself
}

// saying is what the program says at the terminal; it says it from several goroutines.
type saying struct {
	mu   sync.Mutex
	text bytes.Buffer
}

// Write implements io.Writer.
func (b *saying) Write(p []byte) (int, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.text.Write(p)
}

func (b *saying) String() string {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.text.String()
}

// How fast the virtual box lays in tests. What is done while it lays is done at a
// speed that leaves seconds for it, on a machine that has other things to do.
const (
	boxSpeed  = 300
	slowSpeed = 20
)

// longest is how long a test waits for what has to come, on a machine that has
// other things to do.
const longest = 5 * time.Minute

func demoSite(t testing.TB, job string, speed float64) *site {
	return serveFolder(t, filepath.Dir(job), Options{Box: &virtualbox.Options{Speed: speed, Layers: 1, Faults: "arc-out,link-loss"}})
}

// turnSite is for what one turn is enough for.
func turnSite(t *testing.T, speed float64) *site {
	box := virtualbox.Options{Speed: speed, Layers: 1, Faults: "arc-out"}
	return serveFolder(t, filepath.Dir(jobtest.Short(t, "helix", jobtest.OneTurn)), Options{Box: &box})
}

// serveFolder serves a folder until the test ends, or site.end is called.
func serveFolder(t testing.TB, folder string, o Options) *site {
	t.Helper()
	if testing.Short() {
		t.Skip("it serves a whole job")
	}
	if o.Listen == "" {
		o.Listen = "127.0.0.1:0"
	}
	o.Recorders = aparttest.Within(time.Now)
	ctx, stop := context.WithCancel(context.Background())
	s := &site{t: t, folder: folder, told: new(saying)}
	at, ended := make(chan net.Addr, 1), make(chan error, 1)
	go func() {
		ended <- o.Serve(ctx, terminal.New(io.Discard, s.told), folder, func(a net.Addr) { at <- a })
	}()
	s.end = sync.OnceValue(func() error {
		stop()
		return <-ended
	})
	t.Cleanup(func() {
		require.NoError(t, s.end(), s.told.String())
		require.Eventually(t, func() bool { return len(leftOver()) == 0 }, longest, 10*time.Millisecond, "what was served goes on")
	})
	select {
	case a := <-at:
		s.base = "http://" + a.String() + "/api"
	case err := <-ended:
		ended <- err
		require.NoError(t, err)
	}
	return s
}

// ask sends a request, wants a status, and reads the answer.
func (s *site) ask(method, path string, status int, body, into any) {
	s.t.Helper()
	got, answer := s.send(method, path, body)
	require.Equal(s.t, status, got, "%s %s: %s", method, path, answer)
	if into != nil {
		require.NoError(s.t, json.Unmarshal(answer, into), string(answer))
	}
}

func (s *site) send(method, path string, body any) (status int, answer []byte) {
	s.t.Helper()
	var content io.Reader = http.NoBody
	kind := "application/json"
	switch b := body.(type) {
	case nil:
	case []byte:
		content, kind = bytes.NewReader(b), http.DetectContentType(b)
	default:
		text, err := json.Marshal(b)
		require.NoError(s.t, err)
		content = bytes.NewReader(text)
	}
	request, err := http.NewRequestWithContext(context.Background(), method, s.base+path, content)
	require.NoError(s.t, err)
	request.Header.Set("Content-Type", kind)
	client := http.DefaultClient
	if s.client != nil {
		client = s.client
		request.Header.Set("Origin", strings.TrimSuffix(s.base, "/api"))
	}
	response, err := client.Do(request)
	require.NoError(s.t, err)
	answer, err = io.ReadAll(response.Body)
	require.NoError(s.t, err)
	require.NoError(s.t, response.Body.Close())
	return response.StatusCode, answer
}

// trouble is an answer that says what is wrong.
type trouble struct{ Error, Hint string }

func (s *site) refused(method, path string, status int, body any) (told trouble) {
	s.t.Helper()
	s.ask(method, path, status, body, &told)
	require.NotEmpty(s.t, told.Error)
	return told
}

func (s *site) live() (l live.State) {
	s.t.Helper()
	s.ask(http.MethodGet, "/recording", http.StatusOK, nil, &l)
	return l
}

// until waits for a state of the recording.
func (s *site) until(what string, good func(*live.State) bool) (l live.State) {
	s.t.Helper()
	require.Eventually(s.t, func() bool { l = s.live(); return good(&l) }, longest, 10*time.Millisecond, what)
	return l
}

func (s *site) start(r page.StartRequest) page.Started {
	s.t.Helper()
	var started page.Started
	s.ask(http.MethodPost, "/recording", http.StatusCreated, r, &started)
	return started
}

func over(l *live.State) bool { return l.Phase == live.Ended || l.Phase == live.Failed }

// review asks until the record is judged.
func (s *site) review(record string) (r page.Reviewed) {
	s.t.Helper()
	require.Eventually(s.t, func() bool {
		status, answer := s.send(http.MethodGet, "/records/"+record, nil)
		require.Contains(s.t, []int{http.StatusOK, http.StatusAccepted}, status, string(answer))
		if status == http.StatusOK {
			require.NoError(s.t, json.Unmarshal(answer, &r))
		}
		return status == http.StatusOK
	}, longest, 20*time.Millisecond)
	return r
}

// happened is one event of the stream.
type happened struct{ id, kind, data string }

// listen reads the stream of events until the returned function is called.
func (s *site) listen(lastID string) (events <-chan happened, leave func()) {
	s.t.Helper()
	ctx, stop := context.WithCancel(context.Background())
	request, err := http.NewRequestWithContext(ctx, http.MethodGet, s.base+"/events", http.NoBody)
	require.NoError(s.t, err)
	if lastID != "" {
		request.Header.Set("Last-Event-ID", lastID)
	}
	response, err := http.DefaultClient.Do(request)
	require.NoError(s.t, err)
	require.Equal(s.t, http.StatusOK, response.StatusCode)
	all := make(chan happened, 10000)
	go func() {
		defer close(all)
		defer func() { _ = response.Body.Close() }() // it was left, or has ended
		readEvents(response.Body, all)
	}()
	s.t.Cleanup(stop)
	return all, stop
}

func readEvents(from io.Reader, into chan<- happened) {
	lines := bufio.NewScanner(from)
	lines.Buffer(nil, 1<<20)
	var e happened
	for lines.Scan() {
		field, value, _ := strings.Cut(lines.Text(), ": ")
		switch field {
		case "id":
			e.id = value
		case "event":
			e.kind = value
		case "data":
			e.data = value
		case "":
			if e.kind != "" {
				into <- e
			}
			e = happened{}
		}
	}
}
