package page

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"log/slog"
	"math"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"arctally/report/page/live"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// numbered is a strip that can be told from all others.
func numbered(n int) live.Strip { return live.Strip{Record: "r", Epoch: n, Lines: []live.StripLine{}} }

func numberOf(t *testing.T, m message) int {
	t.Helper()
	var s live.Strip
	require.NoError(t, json.Unmarshal(m.data, &s))
	return s.Epoch
}

// browser is one end that listens, is cut off, and comes back with what it had last.
type browser struct {
	hub    *Hub
	lastID string
	strips []int
	lives  []int64
	again  int // restarts
}

// visit listens once and takes what there is, up to a number of messages; what was
// sent beyond that is lost on the way.
func (b *browser) visit(t *testing.T, most int) {
	p, err := b.hub.listen(b.lastID)
	require.NoError(t, err)
	defer p.leave()
	messages := p.first(b.lastID == "")
	for k := 0; k < most; k++ {
		if len(messages) == 0 {
			if messages = p.next(); len(messages) == 0 {
				return
			}
		}
		b.take(t, messages[0])
		messages = messages[1:]
	}
}

func (b *browser) take(t *testing.T, m message) {
	b.lastID = m.id
	switch m.kind {
	case eventStrip:
		b.strips = append(b.strips, numberOf(t, m))
	case eventLive:
		var l live.State
		require.NoError(t, json.Unmarshal(m.data, &l))
		b.lives = append(b.lives, l.TickNS)
	case eventRestart:
		b.again++
	}
}

func TestHub_ResumingLosesAndDoublesNothing(t *testing.T) {
	seeds := uint64(20)
	if testing.Short() {
		seeds = 4
	}
	for seed := range seeds {
		random := rand.New(rand.NewPCG(seed, 1))
		hub := newHub(10_000)
		b := browser{hub: hub}
		b.visit(t, 0) // nothing is there yet
		hub.Live(&live.State{TickNS: -1})
		b.visit(t, math.MaxInt)
		require.Equal(t, []int64{-1}, b.lives)

		const all = 500
		var publishing sync.WaitGroup
		publishing.Go(func() {
			for n := range all {
				hub.Strip(numbered(n))
				if n%3 == 0 {
					hub.Live(&live.State{TickNS: int64(n)})
				}
			}
		})
		for len(b.strips) < all/2 {
			b.visit(t, random.IntN(7))
		}
		publishing.Wait()
		for range 200 {
			b.visit(t, random.IntN(7))
		}
		b.visit(t, math.MaxInt)

		require.Len(t, b.strips, all)
		for n, got := range b.strips {
			require.Equal(t, n, got)
		}
		require.IsIncreasing(t, b.lives)
		require.EqualValues(t, all-2, b.lives[len(b.lives)-1], "the newest state came in the end")
		require.Zero(t, b.again)
	}
}

func TestHub_TellsWhereStripsAreLost(t *testing.T) {
	hub := newHub(10)
	b := browser{hub: hub}
	hub.Live(&live.State{TickNS: 1})
	hub.House(House{Folder: "f"})
	b.visit(t, math.MaxInt)
	for n := range 10 {
		hub.Strip(numbered(n))
	}
	b.visit(t, math.MaxInt)
	assert.Len(t, b.strips, 10)
	assert.Zero(t, b.again, "ten are kept")

	for n := range 11 {
		hub.Strip(numbered(10 + n))
	}
	hub.Live(&live.State{TickNS: 2})
	for range 3 { // cut off after the states, before the restart
		b.visit(t, 2)
		assert.Zero(t, b.again)
		assert.EqualValues(t, 2, b.lives[len(b.lives)-1])
	}
	b.visit(t, math.MaxInt)
	assert.Equal(t, 1, b.again)
	assert.Len(t, b.strips, 10, "who is told to start again is sent no strips from before")

	hub.Strip(numbered(21))
	b.visit(t, math.MaxInt)
	assert.Equal(t, 21, b.strips[10])
	assert.Equal(t, 1, b.again)
}

func TestHub_TellsWhoComesFromAnotherStartOfTheProgram(t *testing.T) {
	before, now := NewHub(), NewHub()
	before.Strip(numbered(0))
	for _, id := range []string{before.id(1), now.id(1), "x", "-", now.boot + "-x", now.id(-1)} {
		b := browser{hub: now, lastID: id}
		b.visit(t, math.MaxInt)
		assert.Equal(t, 1, b.again, id)
		b.visit(t, math.MaxInt)
		assert.Equal(t, 1, b.again, id)
	}
}

func TestHub_ASlowPageDelaysNobody(t *testing.T) {
	hub := newHub(100)
	slow, err := hub.listen("")
	require.NoError(t, err)
	done := make(chan struct{})
	go func() {
		defer close(done)
		for n := range 10_000 {
			hub.Strip(numbered(n))
			hub.Live(&live.State{TickNS: int64(n)})
		}
	}()
	<-done // without a reader
	messages := slow.next()
	require.Len(t, messages, 2, "the newest state, and that strips are lost")
	assert.Equal(t, eventLive, messages[0].kind)
	assert.Contains(t, string(messages[0].data), `"tick_ns":9999`)
	assert.Equal(t, eventRestart, messages[1].kind)
	assert.Empty(t, slow.next())
}

func TestHub_LimitsHowManyListen(t *testing.T) {
	hub := NewHub()
	pages := make([]*page, maxSubscribers)
	for k := range pages {
		var err error
		pages[k], err = hub.listen("")
		require.NoError(t, err)
	}
	_, err := hub.listen("")
	require.ErrorIs(t, err, errTooMany)
	pages[0].leave()
	_, err = hub.listen("")
	require.NoError(t, err)
	hub.Close()
	hub.Close()
	hub.Strip(numbered(1))
	_, err = hub.listen("")
	require.ErrorIs(t, err, errEnding)
	_, open := <-pages[1].wake
	assert.False(t, open)
}

func TestHub_RefusesWhatCannotBeSent(t *testing.T) {
	assert.Panics(t, func() { NewHub().Strip(live.Strip{Step: math.NaN()}) })
}

// streaming is a server that does nothing but stream.
func streaming(hub *Hub) *server {
	return &server{hub: hub, log: slog.New(slog.DiscardHandler), outward: Outward, explain: func(error) (int, string) { return 0, "" }}
}

// wire is the end of a browser: it takes what is written, or nothing until the deadline.
type wire struct {
	mutex    sync.Mutex
	text     strings.Builder
	header   http.Header
	stuck    bool
	deadline time.Time
}

func (w *wire) Header() http.Header { return w.header }

func (w *wire) WriteHeader(int) {}

func (w *wire) Write(b []byte) (int, error) {
	w.mutex.Lock()
	stuck, deadline := w.stuck, w.deadline
	w.text.Write(b)
	w.mutex.Unlock()
	if stuck {
		time.Sleep(time.Until(deadline))
		return 0, os.ErrDeadlineExceeded
	}
	return len(b), nil
}

func (w *wire) FlushError() error { return nil }

func (w *wire) SetWriteDeadline(at time.Time) error {
	w.mutex.Lock()
	defer w.mutex.Unlock()
	w.deadline = at
	return nil
}

func (w *wire) taken() string {
	w.mutex.Lock()
	defer w.mutex.Unlock()
	return w.text.String()
}

func TestStream_BeatsWhileNothingHappens(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		hub, w := NewHub(), &wire{header: http.Header{}}
		done := make(chan error)
		go func() { done <- streaming(hub).events(w, httptest.NewRequest("GET", "/api/events", nil)) }()
		synctest.Wait()
		assert.Equal(t, "retry: 1000\n\n", w.taken())
		time.Sleep(heartbeat*3 + time.Second)
		assert.Equal(t, "retry: 1000\n\n"+strings.Repeat(": still here\n\n", 3), w.taken())
		hub.Strip(live.Strip{Record: "r"})
		synctest.Wait()
		assert.Contains(t, w.taken(), "id: "+hub.id(1)+"\nevent: strip\ndata: {\"record\":\"r\"")
		hub.Close()
		require.NoError(t, <-done)
	})
}

func TestStream_LetsGoOfAPhoneThatSleeps(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		hub, w := NewHub(), &wire{header: http.Header{}}
		done := make(chan error)
		go func() { done <- streaming(hub).events(w, httptest.NewRequest("GET", "/api/events", nil)) }()
		synctest.Wait()
		w.mutex.Lock()
		w.stuck = true
		w.mutex.Unlock()
		begun := time.Now()
		hub.Live(&live.State{})
		require.NoError(t, <-done)
		assert.Equal(t, patience, time.Since(begun))
		assert.Empty(t, hub.pages)
	})
}

// read takes events off a real connection until there are enough.
func read(t *testing.T, body io.Reader, enough int) (ids []string, numbers []int) {
	lines := bufio.NewScanner(body)
	for len(numbers) < enough && lines.Scan() {
		if id, ok := strings.CutPrefix(lines.Text(), "id: "); ok {
			ids = append(ids, id)
		}
		if data, ok := strings.CutPrefix(lines.Text(), "data: "); ok {
			numbers = append(numbers, numberOf(t, message{data: []byte(data)}))
		}
	}
	return ids, numbers
}

func TestStream_ResumesOverRealConnections(t *testing.T) {
	hub := NewHub()
	s := httptest.NewServer(streaming(hub).answering(streaming(hub).events))
	defer s.Close()
	defer hub.Close()
	random := rand.New(rand.NewPCG(7, 7))
	const all = 300
	var publishing sync.WaitGroup
	var numbers []int
	begin := make(chan struct{})
	publishing.Go(func() {
		<-begin
		for n := range all {
			hub.Strip(numbered(n))
		}
	})
	lastID := hub.id(0)
	close(begin)
	for len(numbers) < all {
		request, err := http.NewRequestWithContext(t.Context(), http.MethodGet, s.URL, nil)
		require.NoError(t, err)
		request.Header.Set("Last-Event-ID", lastID)
		response, err := http.DefaultClient.Do(request)
		require.NoError(t, err)
		assert.Equal(t, "text/event-stream", response.Header.Get("Content-Type"))
		ids, got := read(t, response.Body, min(1+random.IntN(40), all-len(numbers)))
		require.NoError(t, response.Body.Close())
		require.Len(t, got, len(ids))
		numbers, lastID = append(numbers, got...), ids[len(ids)-1]
	}
	publishing.Wait()
	for n := range all {
		require.Equal(t, n, numbers[n], fmt.Sprint(numbers))
	}
}

// What was laid is told in its order among the strips, and who missed some of it is told to
// ask anew.
func TestHub_TellsTheBead(t *testing.T) {
	hub := newHub(2)
	p, err := hub.listen("")
	require.NoError(t, err)
	defer p.leave()
	hub.Bead(live.Bead{Record: "r"})
	hub.Strip(numbered(1))
	told := p.next()
	require.Len(t, told, 2)
	assert.Equal(t, []string{eventBead, eventStrip}, []string{told[0].kind, told[1].kind})
	assert.JSONEq(t, `{"record":"r","pieces":[],"gone":0}`, string(told[0].data))
	for range 3 {
		hub.Bead(live.Bead{Record: "r"})
	}
	told = p.next()
	require.NotEmpty(t, told)
	assert.Equal(t, eventRestart, told[0].kind)
}

// Where whoever told strip and bead is gone, every page is told to ask for them anew, once.
func TestHub_Restart(t *testing.T) {
	h := NewHub()
	p, err := h.listen("")
	require.NoError(t, err)
	defer p.leave()
	h.Strip(live.Strip{Record: "before"})
	h.Restart()
	kinds := func(messages []message) (all []string) {
		for _, m := range messages {
			all = append(all, m.kind)
		}
		return all
	}
	assert.Equal(t, []string{eventRestart}, kinds(p.next()), "what was told before the restart no longer holds")
	h.Strip(live.Strip{Record: "after"})
	assert.Equal(t, []string{eventStrip}, kinds(p.next()))
	away, err := h.listen(h.id(1))
	require.NoError(t, err)
	defer away.leave()
	assert.Equal(t, []string{eventRestart}, kinds(away.next()), "to one that was away too")
}
