//go:build linux

package apart

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"arctally/acquire/record"
	"arctally/analyze/note"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/jobfile/jobtest"
	"arctally/cmd/internal/virtualbox"
	"arctally/report/page"
	"arctally/report/page/live"
)

const longest = 5 * time.Minute

// ordered is an order for a virtual box to lay two turns.
func ordered(t *testing.T) Order {
	t.Helper()
	job := jobtest.Short(t, "helix", jobtest.TwoTurns)
	p, err := jobfile.Read(job)
	require.NoError(t, err)
	folder := filepath.Dir(job)
	return Order{
		Folder: folder, Record: "job", File: filepath.Join(folder, "job.arctally"), JobFile: "job", Documents: p.Documents,
		Box: &virtualbox.Options{Speed: 20, Layers: 1, Faults: virtualbox.NoFaults},
	}
}

// watched is a front that keeps what it was told.
type watched struct {
	Front
	mu   sync.Mutex
	told []string
	ends []Done
}

func newWatched(start Starter) *watched {
	w := new(watched)
	w.Front = Front{
		Hub: page.NewHub(), Start: start, Now: time.Now, Closed: func(*Recorder) {},
		Tell: func(format string, values ...any) {
			w.mu.Lock()
			defer w.mu.Unlock()
			w.told = append(w.told, fmt.Sprintf(format, values...))
		},
		Done: func(_ *Recorder, d Done) {
			w.mu.Lock()
			defer w.mu.Unlock()
			w.ends = append(w.ends, d)
		},
	}
	return w
}

func (w *watched) all() string {
	w.mu.Lock()
	defer w.mu.Unlock()
	return strings.Join(w.told, "\n")
}

func waitFor(t *testing.T, r *Recorder, good func(*live.State) bool) *live.State {
	t.Helper()
	for deadline := time.Now().Add(longest); time.Now().Before(deadline); time.Sleep(10 * time.Millisecond) {
		if s := r.State(t.Context()); s != nil && good(s) {
			return s
		}
	}
	t.Fatal("it never came")
	return nil
}

// interruptions are what a state says of times in which nobody recorded.
func interruptions(s *live.State) (words []string) {
	for k := range s.Alarms {
		if s.Alarms[k].Rule == "recorder" {
			words = append(words, s.Alarms[k].Words)
		}
	}
	return words
}

func running(s *live.State) bool { return s.Phase == live.Running && s.DurableSamples > 0 }

// TestMain lets the tests' program be a recorder too.
func TestMain(m *testing.M) {
	guarded = guarded || os.Getenv(guardedVariable) != ""
	if len(os.Args) == 2 && os.Args[1] == Role {
		os.Exit(Main(context.Background(), os.Stdin, os.Stderr))
	}
	os.Exit(m.Run())
}

// mortal starts recorders of their own, and kills the last of them. After so many each is
// dead at once.
type mortal struct {
	start Starter
	times int
	mu    sync.Mutex
	last  *Process
}

func (m *mortal) Start(o Order, log string) (*Process, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.times--; m.times < 0 {
		gone := make(chan struct{})
		close(gone)
		return &Process{Gone: gone, Why: func() string { return "out of memory" }, Kill: func() {}}, nil
	}
	p, err := m.start(o, log)
	m.last = p
	return p, err
}

func (m *mortal) kill() {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.last.Kill()
}

// A second front over the same folder finds the recorder that the first one left, with the
// same recording, and ends it.
func TestJoin_FindsWhatGoesOn(t *testing.T) {
	start := func(o Order, _ string) (*Process, error) {
		ctx, kill := context.WithCancel(context.Background())
		gone := make(chan struct{})
		go func() {
			defer close(gone)
			assert.NoError(t, Serve(ctx, o, time.Now))
		}()
		return &Process{Gone: gone, Why: func() string { return "ended" }, Kill: kill}, nil
	}
	first := newWatched(start)
	o := ordered(t)
	r, err := Start(t.Context(), first.Front, o)
	require.NoError(t, err)
	before := waitFor(t, r, running)
	r.Leave()
	require.True(t, r.Runs())
	second := newWatched(start)
	again, err := Join(t.Context(), second.Front, o.Folder)
	require.NoError(t, err)
	require.NotNil(t, again)
	assert.Equal(t, o, again.Order())
	after := waitFor(t, again, func(s *live.State) bool { return s.DurableSamples > before.DurableSamples })
	assert.Equal(t, before.Epoch, after.Epoch, "it has gone on")
	when, err := again.Note(t.Context(), note.Note{By: "Operator 1", Text: "seen again"})
	require.NoError(t, err)
	assert.Equal(t, "now", when)
	_, err = again.Photograph("image/png", []byte("picture"))
	require.NoError(t, err)
	number, err := again.Entries([]record.Entry{{Kind: "machining", By: "Operator 1", At: time.Now(), Text: "{}"}})
	require.NoError(t, err)
	assert.EqualValues(t, 1, number)
	again.End()
	<-again.Closed()
	assert.True(t, again.Ended())
	require.Len(t, second.ends, 1)
	assert.Nil(t, second.ends[0].Err)
	assert.Empty(t, first.ends)
	strip, err := again.Strip(t.Context())
	require.NoError(t, err, "who looks on may ask until the next recording")
	assert.Equal(t, "job", strip.Record)
	_, err = again.Note(t.Context(), note.Note{By: "Operator 1", Text: "too late"})
	var told *explain.Error
	require.ErrorAs(t, err, &told)
	assert.Equal(t, explain.InTheWay, told.Kind, "an error keeps its kind on the way")
	again.Leave()
	require.NoError(t, record.Verify(o.File))
	none, err := Join(t.Context(), second.Front, o.Folder)
	require.NoError(t, err)
	assert.Nil(t, none)
}

// One that dies again and again is started less and less often, and in the end given up, with
// a word.
func TestWatch_GivesUp(t *testing.T) {
	was := pauses
	pauses = []time.Duration{0, time.Millisecond, time.Millisecond}
	defer func() { pauses = was }()
	m := &mortal{start: OfItsOwn(), times: 2}
	w := newWatched(m.Start)
	o := ordered(t)
	r, err := Start(t.Context(), w.Front, o)
	require.NoError(t, err)
	before := waitFor(t, r, running)
	m.kill()
	after := waitFor(t, r, func(s *live.State) bool { return running(s) && s.Epoch > before.Epoch })
	assert.Equal(t, []string{"the recorder died (signal: killed) and was started again: what came between is missing"}, interruptions(after))
	assert.GreaterOrEqual(t, after.DurableSamples, before.DurableSamples)
	m.kill()
	<-r.Closed()
	require.Len(t, w.ends, 1)
	assert.Contains(t, w.ends[0].Err.Text, "the recorder died 3 times one after another, and is not started any more: out of memory")
	last := r.State(t.Context())
	assert.Equal(t, live.Failed, last.Phase)
	assert.Equal(t, w.ends[0].Err.Text, last.Trouble.Error)
	for _, c := range last.Channels {
		assert.Nil(t, c.Value, "no old value stands there as a present one")
	}
	assert.Contains(t, w.all(), "warning: the recorder has died (signal: killed); it is started again, and goes on in "+o.File)
	_, err = r.Strip(t.Context())
	require.ErrorIs(t, err, ErrAway)
	r.Leave()
	require.NoError(t, record.Verify(o.File))
	reader, err := record.Open(o.File)
	require.NoError(t, err)
	events, err := reader.Events()
	require.NoError(t, err)
	require.NoError(t, reader.Close())
	said := ""
	for _, e := range events {
		said += e.Text + "\n"
	}
	assert.Equal(t, 1, strings.Count(said, "The program that records had died (signal: killed) at "), said)
}

// What a recorder died of is told where it said so itself.
func TestProcess_SaysWhatItDiedOf(t *testing.T) {
	o := ordered(t)
	o.Documents = nil
	_, err := Start(t.Context(), newWatched(OfItsOwn()).Front, o)
	require.Error(t, err, "the order is of no job")
	assert.NoFileExists(t, o.File)
	log := filepath.Join(t.TempDir(), "log")
	p, err := OfItsOwn()(Order{Folder: o.Folder, Box: o.Box, Record: "x"}, log)
	require.NoError(t, err)
	p.Kill()
	<-p.Gone
	assert.Equal(t, "signal: killed", p.Why())
}

// What is typed at the terminal, and its end, do not reach a recorder, though it is of the
// session of the front.
func TestProcess_TheTerminalDoesNotReachIt(t *testing.T) {
	w := newWatched(OfItsOwn())
	o := ordered(t)
	o.Box.Speed = 2
	r, err := Start(t.Context(), w.Front, o)
	require.NoError(t, err)
	before := waitFor(t, r, running)
	group, err := unix.Getpgid(r.number)
	require.NoError(t, err)
	require.Equal(t, r.number, group, "signals of the keys go to another group")
	own, err := unix.Getsid(0)
	require.NoError(t, err)
	session, err := unix.Getsid(r.number)
	require.NoError(t, err)
	require.Equal(t, own, session)
	for _, s := range []unix.Signal{unix.SIGHUP, unix.SIGINT} {
		require.NoError(t, unix.Kill(r.number, s))
	}
	after := waitFor(t, r, func(s *live.State) bool {
		return running(s) && s.DurableSamples > before.DurableSamples+int64(o.Box.Speed*10_000)
	})
	assert.Equal(t, before.Epoch, after.Epoch)
	r.End()
	<-r.Closed()
	r.Leave()
	assert.Zero(t, saidIn(eventsIn(t, o.File), "had died"))
}

// strange is a recorder of another build, which says what it says once.
func strange(t *testing.T, folder string, frames ...frame) {
	t.Helper()
	at, err := placeOf(folder)
	require.NoError(t, err)
	l, err := at.listen(t.Context())
	require.NoError(t, err)
	var work sync.WaitGroup
	t.Cleanup(func() {
		assert.NoError(t, l.Close())
		work.Wait()
	})
	work.Go(func() {
		for {
			conn, err := l.Accept()
			if err != nil {
				return
			}
			own := newLine(conn)
			for _, f := range frames {
				own.send(f)
			}
			own.finish()
		}
	})
}

// A recorder of another speech is neither shown nor ended, and whoever asks is told whose it is.
// One that was started in vain is ended: it would record once the other has gone.
func TestConnect_AnotherSpeech(t *testing.T) {
	folder := t.TempDir()
	assert.False(t, IsOther(t.Context(), folder), "nobody is there")
	strange(t, folder, frame{Kind: kindHello, body: encoded(Hello{Order: Order{Record: "theirs"}, Speech: "another", Program: program(), Process: 4711})})
	ended := false
	w := newWatched(func(Order, string) (*Process, error) {
		return &Process{Number: 12, Kill: func() { ended = true }}, nil
	})
	for what, try := range map[string]func() error{
		"join":  func() error { _, err := Join(t.Context(), w.Front, folder); return err },
		"start": func() error { _, err := Start(t.Context(), w.Front, Order{Folder: folder}); return err },
	} {
		err := try()
		require.ErrorContains(t, err, "another build of this program records theirs, as process 4711", what)
		var other *OtherBuild
		require.ErrorAs(t, err, &other)
		assert.Equal(t, 409, explain.Of(err).HTTP)
		assert.Contains(t, explain.Of(err).Hint, "kill -TERM 4711")
	}
	assert.True(t, ended)
	assert.True(t, IsOther(t.Context(), folder))
}

// A front whose program was replaced says so of the recorder that it cannot start any more.
func TestConnect_Replaced(t *testing.T) {
	folder := t.TempDir()
	strange(t, folder, frame{Kind: kindHello, body: encoded(Hello{Speech: "another", Process: 4711})})
	w := newWatched(func(Order, string) (*Process, error) { return &Process{Number: 4711, Kill: func() {}}, nil })
	_, err := Start(t.Context(), w.Front, Order{Folder: folder})
	require.ErrorContains(t, err, "another build of this program lies in its place by now")
}

// A recorder of another build that speaks as this one does is joined; what it judged is judged anew.
func TestConnect_AnotherBuildOfOneSpeech(t *testing.T) {
	for name, program := range map[string]string{"this": program(), "another": "another"} {
		folder := t.TempDir()
		strange(t, folder,
			frame{Kind: kindHello, body: encoded(Hello{Order: Order{Folder: folder, Record: "theirs"}, Speech: speech(), Program: program})},
			frame{Kind: kindDone, body: encoded(Done{Passes: 3, Judged: []byte("judged")})},
			frame{Kind: kindClosed})
		w := newWatched(nil)
		r, err := Join(t.Context(), w.Front, folder)
		require.NoError(t, err, name)
		require.NotNil(t, r, name)
		<-r.Closed()
		r.Leave()
		require.Len(t, w.ends, 1)
		assert.Equal(t, 3, w.ends[0].Passes)
		assert.Equal(t, name == "this", w.ends[0].Judged != nil, name)
	}
}

// Types tell themselves apart by all that they are made of.
func TestSpeech(t *testing.T) {
	type inner struct{ A int }
	type another struct{ A int64 }
	said := map[string]bool{}
	for _, value := range []any{
		struct{ A int }{}, struct{ B int }{}, struct{ A int64 }{}, struct {
			A int `json:"a"`
		}{}, struct{ A []inner }{}, struct{ A []another }{}, struct{ A *inner }{}, struct{ A map[string]inner }{}, struct{ a int }{},
	} {
		var to strings.Builder
		describe(&to, reflect.TypeOf(value), nil)
		assert.False(t, said[to.String()], "%T", value)
		said[to.String()] = true
	}
	type endless struct{ Next *endless }
	describe(io.Discard, reflect.TypeFor[endless](), nil)
	assert.Contains(t, speech(), fmt.Sprint(meaning, " "))
}

// What comes over a line is what was sent, to the byte, and what is no frame ends it.
func TestLine_CarriesFrames(t *testing.T) {
	here, there := net.Pipe()
	near, far := newLine(here), newLine(there)
	defer near.close()
	sent := []frame{
		{Kind: kindAnswer, ID: 7, Err: farOf(errors.New(strings.Repeat("\x01", 10*longestText)))},
		{Kind: "live", body: []byte("{\n}")},
		{Kind: "strip"},
	}
	for _, f := range sent {
		near.send(f)
	}
	for _, f := range sent {
		got, err := far.read()
		require.NoError(t, err)
		assert.Equal(t, f.Kind, got.Kind)
		assert.Equal(t, string(f.body), string(got.body))
		if f.Err != nil {
			assert.LessOrEqual(t, len(got.Err.Text), longestText+4)
		}
	}
	far.close()
	for _, bad := range []string{"no head\n", `{"kind":"live","size":-1}` + "\n", `{"kind":"live","size":99999999999}` + "\n", strings.Repeat("x", 2*mostHead)} {
		here, there := net.Pipe()
		l := newLine(there)
		go func() {
			_, _ = here.Write([]byte(bad)) // whoever reads breaks off
			_ = here.Close()
		}()
		_, err := l.read()
		require.Error(t, err, bad[:7])
		l.close()
	}
}

// Who does not read is cut off, and holds nobody up.
func TestLine_NeverWaits(t *testing.T) {
	here, there := net.Pipe()
	defer func() { assert.NoError(t, there.Close()) }()
	l := newLine(here)
	for range 2 * mostWaiting {
		l.send(frame{Kind: "strip"})
	}
	<-l.gone
}
