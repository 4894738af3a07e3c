//go:build linux

package apart

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"arctally/acquire/record"
	"arctally/acquire/series"
	"arctally/analyze/note"
	"arctally/report/page"
	"arctally/report/page/live"
)

// waiting has recorders looked after with other waits until the test ends.
func waiting(t *testing.T, w waits) {
	was := patient
	patient = w
	t.Cleanup(func() { patient = was })
}

// laidSlowly is an order that takes minutes to lay: the box does not end before the test.
func laidSlowly(t *testing.T) Order {
	o := ordered(t)
	o.Box.Speed = 2
	return o
}

func eventsIn(t *testing.T, file string) (events []series.Event) {
	t.Helper()
	require.NoError(t, record.Verify(file))
	r, err := record.Open(file)
	require.NoError(t, err)
	events, err = r.Events()
	require.NoError(t, err)
	require.NoError(t, r.Close())
	return events
}

func saidIn(events []series.Event, words string) (n int) {
	for _, e := range events {
		n += strings.Count(e.Text, words)
	}
	return n
}

// stillStanding are ways in which a recorder does nothing any more, and is there.
func stillStanding() map[string]func(t *testing.T) (start Starter, halt func(r *Recorder), release func(r *Recorder)) {
	return map[string]func(t *testing.T) (Starter, func(*Recorder), func(*Recorder)){
		"stopped": func(t *testing.T) (Starter, func(*Recorder), func(*Recorder)) {
			signal := func(s unix.Signal) func(*Recorder) {
				return func(r *Recorder) { require.NoError(t, unix.Kill(r.number, s)) }
			}
			return OfItsOwn(), signal(unix.SIGSTOP), signal(unix.SIGCONT)
		},
		"waits for itself": func(t *testing.T) (Starter, func(*Recorder), func(*Recorder)) {
			var gate sync.RWMutex // whoever asks for the time waits, and whoever waits for him
			now := func() time.Time {
				gate.RLock()
				defer gate.RUnlock()
				return time.Now()
			}
			start := func(o Order, _ string) (*Process, error) {
				ctx, kill := context.WithCancel(context.Background())
				gone := make(chan struct{})
				go func() {
					defer close(gone)
					assert.NoError(t, Serve(ctx, o, now))
				}()
				return &Process{Gone: gone, Why: func() string { return "ended" }, Kill: kill}, nil
			}
			return start, func(*Recorder) { gate.Lock() }, func(*Recorder) { gate.Unlock() }
		},
	}
}

// A recorder that stands still is told of: no old value stands there as a present one, nobody
// waits for its answer, and when it goes on the record says that it had stood still.
func TestSilence_IsToldAndGoesOnRecord(t *testing.T) {
	for name, way := range stillStanding() {
		t.Run(name, func(t *testing.T) {
			waiting(t, waits{look: 20 * time.Millisecond, tell: time.Second, end: time.Hour})
			start, halt, release := way(t)
			w := newWatched(start)
			o := laidSlowly(t)
			r, err := Start(t.Context(), w.Front, o)
			require.NoError(t, err)
			before := waitFor(t, r, running)
			halt(r)
			silent := waitFor(t, r, func(s *live.State) bool {
				return strings.Contains(s.Link.Words, "the recorder has said nothing for 1s")
			})
			assert.Equal(t, live.LinkDoubtful, silent.Link.State)
			for _, c := range silent.Channels {
				assert.Nil(t, c.Value)
			}
			_, err = r.Note(t.Context(), note.Note{By: "Operator 1", Text: "x"})
			require.ErrorIs(t, err, errSilent)
			release(r)
			after := waitFor(t, r, func(s *live.State) bool {
				return running(s) && s.DurableSamples > before.DurableSamples && len(s.Alarms) > 0
			})
			assert.Equal(t, before.Epoch, after.Epoch, "it is the same recorder")
			assert.Contains(t, after.Alarms[len(after.Alarms)-1].Words, "the recorder had said nothing for ")
			r.End()
			<-r.Closed()
			r.Leave()
			events := eventsIn(t, o.File)
			assert.Equal(t, 1, saidIn(events, "The program that records had stood still, or said nothing, from "))
			assert.Zero(t, saidIn(events, "had died"))
			assert.Contains(t, w.all(), "warning: the recorder has said nothing for 1s: whether it goes on is not known")
			assert.Contains(t, w.all(), "the recorder goes on, after ")
			require.Len(t, w.ends, 1)
			assert.Nil(t, w.ends[0].Err)
		})
	}
}

// One that neither says nor stores anything for longer is ended, also by a front that did not
// start it, and another one goes on in its record; nothing that was acknowledged is lost.
func TestSilence_OneThatHangsIsStartedAnew(t *testing.T) {
	waiting(t, waits{look: 20 * time.Millisecond, tell: time.Second, end: 4 * time.Second})
	o := laidSlowly(t)
	first, err := Start(t.Context(), newWatched(OfItsOwn()).Front, o)
	require.NoError(t, err)
	waitFor(t, first, running)
	first.Leave()
	w := newWatched(OfItsOwn())
	r, err := Join(t.Context(), w.Front, o.Folder)
	require.NoError(t, err)
	before := waitFor(t, r, running)
	require.NoError(t, unix.Kill(r.number, unix.SIGSTOP))
	after := waitFor(t, r, func(s *live.State) bool { return running(s) && s.Epoch > before.Epoch })
	assert.Equal(t, []string{"the recorder died (it had said and stored nothing for 4s, and was ended) and was started again: what came between is missing"}, interruptions(after))
	assert.GreaterOrEqual(t, after.DurableSamples, before.DurableSamples)
	r.End()
	<-r.Closed()
	r.Leave()
	events := eventsIn(t, o.File)
	assert.Equal(t, 1, saidIn(events, "The program that records had died (it had said and stored nothing for 4s, and was ended) at "))
	assert.Zero(t, saidIn(events, "stood still"), "which is said of one that goes on")
}

// mute says how it stands once, and nothing after that.
type mute struct {
	t      *testing.T
	killed chan struct{}
}

func (m mute) Start(o Order, _ string) (*Process, error) {
	at, err := placeOf(o.Folder)
	require.NoError(m.t, err)
	l, err := at.listen(m.t.Context())
	require.NoError(m.t, err)
	gone := make(chan struct{})
	go func() {
		defer close(gone)
		conn, err := l.Accept()
		if !assert.NoError(m.t, err) {
			return
		}
		own := newLine(conn)
		own.send(frame{Kind: kindHello, body: encoded(Hello{o, speech(), program(), os.Getpid()})})
		told := page.ToldLive(&live.State{})
		own.send(frame{Kind: told.Kind, body: told.Data})
		<-m.killed
		own.close()
		assert.NoError(m.t, l.Close())
	}()
	return &Process{Gone: gone, Why: func() string { return "killed" }, Kill: sync.OnceFunc(func() { close(m.killed) })}, nil
}

// One that says nothing and goes on storing is left alone: to end it would lose what it stores.
func TestSilence_WhoStoresIsNotEnded(t *testing.T) {
	waiting(t, waits{look: 10 * time.Millisecond, tell: 100 * time.Millisecond, end: time.Second})
	was := pauses
	pauses = nil
	defer func() { pauses = was }()
	for _, file := range []string{"job.arctally", "job.arctally-wal"} {
		folder := t.TempDir()
		m := mute{t, make(chan struct{})}
		w := newWatched(m.Start)
		stored, err := os.Create(filepath.Join(folder, file))
		require.NoError(t, err)
		r, err := Start(t.Context(), w.Front, Order{Folder: folder, File: filepath.Join(folder, "job.arctally")})
		require.NoError(t, err)
		for deadline := time.Now().Add(longest); !strings.Contains(w.all(), "it is left alone, since it goes on storing"); time.Sleep(time.Millisecond) {
			require.True(t, time.Now().Before(deadline))
			_, err := stored.WriteString("x")
			require.NoError(t, err)
		}
		require.NoError(t, stored.Close())
		assert.False(t, isClosed(m.killed), "it stored")
		<-m.killed // it stores nothing any more
		<-r.Closed()
		r.Leave()
		require.Len(t, w.ends, 1)
		assert.Contains(t, w.ends[0].Err.Text, "it had said and stored nothing for 1s, and was ended")
	}
}

// What was asked before it fell silent may be done when it goes on: who asked is told so, and
// does not wait.
func TestSilence_NobodyWaits(t *testing.T) {
	waiting(t, waits{look: 10 * time.Millisecond, tell: 200 * time.Millisecond, end: time.Hour})
	folder := t.TempDir()
	m := mute{t, make(chan struct{})}
	r, err := Start(t.Context(), newWatched(m.Start).Front, Order{Folder: folder})
	require.NoError(t, err)
	_, err = r.Photograph("image/png", []byte("picture"))
	require.ErrorIs(t, err, errUnanswered)
	_, err = r.Photograph("image/png", []byte("picture"))
	require.ErrorIs(t, err, errSilent)
	r.Cut()
	close(m.killed)
	<-r.Closed()
	r.Leave()
}

// Who comes to a recorder that says nothing is told which process it is, and does not wait for good.
func TestJoin_OneThatSaysNothing(t *testing.T) {
	waiting(t, waits{end: 100 * time.Millisecond})
	folder := t.TempDir()
	at, err := placeOf(folder)
	require.NoError(t, err)
	l, err := at.listen(t.Context())
	require.NoError(t, err)
	defer func() { assert.NoError(t, l.Close()) }()
	_, err = Join(t.Context(), newWatched(nil).Front, folder)
	require.Equal(t, errHung(os.Getpid()), err)
	require.ErrorContains(t, err, "a recorder of this folder is there, and has said nothing for 100ms")
}
