package workshop

import (
	"encoding/json"
	"errors"
	"math/rand/v2"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/creack/pty"
	"github.com/stretchr/testify/require"

	"arctally/acquire/acquiretest"
	"arctally/acquire/link"
	"arctally/acquire/port"
	"arctally/acquire/sensorbox"
	"arctally/acquire/series"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/jobfile/jobtest"
	"arctally/report/page"
	"arctally/report/page/live"
)

const (
	frameSamples = 100 // of 100 us: a frame is 10 ms
	frameStep    = 100 // us
)

// speaker is a sensor box of which each frame is said at a time of our choice.
type speaker struct {
	master *os.File
	name   string
	head   link.Header
	bytes  []byte
	v, i   []int16
}

func newSpeaker(b *testing.B) *speaker {
	b.Helper()
	master, slave, err := pty.Open()
	require.NoError(b, err)
	b.Cleanup(func() { require.NoError(b, errors.Join(master.Close(), slave.Close())) })
	s := &speaker{master: master, name: slave.Name(), head: link.Header{Boot: 1, StepUS: frameStep}}
	s.v, s.i = make([]int16, frameSamples), make([]int16, frameSamples)
	return s
}

// describe says who speaks.
func (s *speaker) describe(b *testing.B) {
	b.Helper()
	var err error
	s.bytes, err = link.AppendHello(s.bytes[:0], link.Header{Boot: s.head.Boot, Seq: s.head.Seq, TickUS: s.head.TickUS}, sensorbox.Demo().Source())
	require.NoError(b, err)
	s.send(b)
}

// say says one frame and returns the tick of its last sample, and when it was said.
func (s *speaker) say(b *testing.B) (last int64, at time.Time) {
	b.Helper()
	s.bytes = link.AppendSamples(s.bytes[:0], s.head, s.v, s.i)
	last = int64(s.head.TickUS+(frameSamples-1)*frameStep) * 1000
	s.head.TickUS += frameSamples * frameStep
	at = time.Now()
	s.send(b)
	return last, at
}

func (s *speaker) send(b *testing.B) {
	b.Helper()
	s.head.Seq++
	_, err := s.master.Write(s.bytes)
	require.NoError(b, err)
}

// measure says frame after frame, and waits until each has been heard.
func (s *speaker) measure(b *testing.B, heard <-chan int64) (p50, p99 time.Duration) {
	b.Helper()
	random := rand.New(rand.NewPCG(1, 1))
	var took []time.Duration
	for b.Loop() {
		time.Sleep(time.Duration(random.IntN(100)) * time.Millisecond) // in step with no ticker
		last, at := s.say(b)
		for tick := range heard {
			if tick >= last {
				took = append(took, time.Since(at))
				break
			}
		}
	}
	slices.Sort(took)
	return took[len(took)/2], took[len(took)*99/100]
}

// listener is a sink that tells how far it has heard.
type listener struct{ heard chan int64 }

func (l listener) Source(series.Source) error { return nil }
func (l listener) Event(series.Event) error   { return nil }
func (l listener) Block(b *series.Block) error {
	l.heard <- b.At(b.Len() - 1)
	return nil
}

// BenchmarkServeLatency measures the way of a sample from the port to a browser, and
// in the same run that to a sink without the pages. Run it with -benchtime 200x.
func BenchmarkServeLatency(b *testing.B) {
	var direct time.Duration
	b.Run("sink", func(b *testing.B) {
		s := newSpeaker(b)
		line, err := port.Open(b.Context(), port.Config{Name: s.name})
		require.NoError(b, err)
		l, done := listener{make(chan int64, 1000)}, make(chan error, 1)
		go func() {
			_, err := acquiretest.Record(b.Context(), line, acquiretest.Config{Link: link.Binary, Sinks: []series.Sink{l}})
			done <- err
		}()
		s.describe(b)
		p50, p99 := s.measure(b, l.heard)
		direct = p50
		b.ReportMetric(p50.Seconds()*1e3, "p50-ms")
		b.ReportMetric(p99.Seconds()*1e3, "p99-ms")
		require.NoError(b, line.Close())
		require.NoError(b, <-done)
	})
	b.Run("page", func(b *testing.B) {
		s := newSpeaker(b)
		p, err := jobfile.Read(jobtest.Folder(b))
		require.NoError(b, err)
		folder := b.TempDir()
		require.NoError(b, os.MkdirAll(filepath.Join(folder, filepath.Dir(p.Job.ProcedureFile)), 0o750))
		require.NoError(b, os.WriteFile(filepath.Join(folder, jobfile.Document), []byte(p.Documents[jobfile.Document]), 0o600))
		require.NoError(b, os.WriteFile(filepath.Join(folder, p.Job.ProcedureFile), []byte(p.Documents[jobfile.ProcedureDocument]), 0o600))
		site := serveFolder(b, folder, Options{})
		site.start(page.StartRequest{Job: "job", Port: s.name})
		events, leave := site.listen("")
		defer leave()
		heard := make(chan int64, 1000)
		go func() {
			for e := range events {
				var l live.State
				if e.kind == "live" && json.Unmarshal([]byte(e.data), &l) == nil {
					heard <- l.TickNS
				}
			}
		}()
		site.until("open", func(l *live.State) bool { return l.Phase == live.Waiting && l.Link.Port != "" })
		time.Sleep(200 * time.Millisecond) // the port is open
		s.describe(b)
		p50, p99 := s.measure(b, heard)
		b.ReportMetric(p50.Seconds()*1e3, "p50-ms")
		b.ReportMetric(p99.Seconds()*1e3, "p99-ms")
		b.ReportMetric(p50.Seconds()/direct.Seconds(), "x-sink")
		site.ask(http.MethodDelete, "/recording", http.StatusOK, nil, nil)
	})
}
