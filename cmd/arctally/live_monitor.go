package main

import (
	"slices"
	"sync"
	"time"

	"arctally/acquire"
	"arctally/acquire/quantity"
	"arctally/acquire/record"
	"arctally/acquire/series"
	"arctally/analyze/procedure"
	"arctally/report/page"
	"arctally/report/sheet"
)

// liveEvery is the time of the host between two states that are told.
const liveEvery = 100 * time.Millisecond

// monitor follows a recording and tells how it stands. The recording does not
// wait for it: what it takes from it, it only notes down; a goroutine of its own
// looks at the notes every so often, whether anything comes or not, and tells.
type monitor struct {
	hub     *page.Hub
	job     *procedure.Job
	now     func() time.Time
	stop    chan struct{}
	stopped chan struct{}

	mu      sync.Mutex
	live    *live // nil until the port and the record are open
	state   page.Live
	said    []series.Source // by the source of itself, the newest last
	strip   *strip
	hearing hearing
	elapsed boxTime
	results results

	angle     quantity.Degrees // of the torch, when it was last looked at
	backwards bool             // it goes anti-clockwise

	wrong *mistakeError // following made the program stumble; nil is no
}

// boxTime counts seconds on a clock that may begin anew.
type boxTime struct {
	any         bool
	epoch       int
	first, last int64
	before      int64 // ns, in former epochs
}

func (t *boxTime) see(b *series.Block) {
	from, until := b.At(0), b.At(b.Len()-1)
	if !t.any || b.Epoch != t.epoch {
		t.before += t.last - t.first
		t.any, t.epoch, t.first, t.last = true, b.Epoch, from, until
	}
	t.first, t.last = min(t.first, from), max(t.last, until)
}

func (t *boxTime) seconds() float64 { return float64(t.before+t.last-t.first) / 1e9 }

// newMonitor begins to tell at once that a recording waits for its first sample.
func newMonitor(hub *page.Hub, first page.Live, p *plan, port string, strip *strip, now func() time.Time) *monitor {
	m := &monitor{
		hub: hub, job: p.job, now: now, state: first, strip: strip, hearing: newHearing(port, now),
		stop: make(chan struct{}), stopped: make(chan struct{}),
	}
	m.state.Phase = page.Waiting
	m.describe()
	go m.tell()
	return m
}

// tell tells how the recording stands until finish.
func (m *monitor) tell() {
	defer close(m.stopped)
	ticker := time.NewTicker(liveEvery)
	defer ticker.Stop()
	for {
		m.publish()
		select {
		case <-m.stop:
			return
		case <-ticker.C:
		}
	}
}

func (m *monitor) publish() {
	state, news, any := m.news()
	if any {
		m.hub.Strip(news)
	}
	m.hub.Live(&state)
}

// news is the state as it is now, and what has come to the strip.
func (m *monitor) news() (state page.Live, news page.Strip, any bool) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.lookOnce()
	if m.wrong == nil {
		m.wrong = caught(func() { news, any = m.strip.news(m.state.Record) })
	}
	return m.state, news, any && m.wrong == nil
}

// finish tells how the recording ended.
func (m *monitor) finish(err error) {
	close(m.stop)
	<-m.stopped
	m.mu.Lock()
	m.lookOnce()
	m.state.Phase = page.Ended
	if err != nil {
		_, hint := explain(err)
		m.state.Phase, m.state.Trouble = page.Failed, &page.LiveTrouble{Error: err.Error(), Hint: hint}
	}
	m.state.ArcOn = false
	m.state.At = sheet.Timestamp(m.now())
	state := m.state
	m.mu.Unlock()
	m.hub.Live(&state)
}

// current returns the newest state.
func (m *monitor) current() page.Live {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.state
}

// wholeStrip returns the last half minute.
func (m *monitor) wholeStrip() page.Strip {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.strip.all(m.state.Record)
}

// follow implements follower.
func (m *monitor) follow(l *live) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.live = l
	m.hearing.began = m.now()
}

// broke implements follower.
func (m *monitor) broke(e *mistakeError) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.wrong = e
}

// mistake is what made the program stumble; nil is nothing.
func (m *monitor) mistake() *mistakeError {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.wrong
}

// lookOnce brings the state up to date. Where the program stumbles over it, it
// shows no value any more, since it would be an old one, and says so.
func (m *monitor) lookOnce() {
	if m.wrong == nil && m.live != nil {
		m.wrong = m.live.mistake()
	}
	if m.wrong == nil {
		m.wrong = caught(m.look)
	}
	if m.wrong == nil {
		return
	}
	s := &m.state
	m.describe()
	s.At, s.ArcOn, s.InGap, s.Steady = sheet.Timestamp(m.now()), false, false, nil
	s.Pass, s.Place, s.Next = nil, nil, nil
	s.Link = page.LiveLink{
		Port: m.hearing.port, State: page.LinkDoubtful,
		Words: "the program made a mistake and shows no values any more; the recording goes on",
	}
	if m.live != nil {
		if writer := m.live.recordWriter(); writer != nil {
			s.DurableSamples = writer.Acknowledged()
		}
	}
}

// recording is the sink to which people add; nil before it has begun.
func (m *monitor) recording() *live {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.live
}

// writer is that of the recording; nil before it has begun and after it has ended.
func (m *monitor) writer() *record.Writer {
	l := m.recording()
	if l == nil {
		return nil
	}
	return l.recordWriter()
}

// sources is what the source said of itself.
func (m *monitor) sources() []series.Source {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.said
}

// source is what it said last.
func (m *monitor) source() (s series.Source) {
	if n := len(m.said); n > 0 {
		s = m.said[n-1]
	}
	return s
}

// Source implements acquire.Sink.
func (m *monitor) Source(s series.Source) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	s.Channels = slices.Clone(s.Channels)
	m.said = append(m.said, s)
	m.strip.source(s)
	return nil
}

// Block implements acquire.Sink.
func (m *monitor) Block(b *series.Block) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.state.Phase = page.Running
	m.elapsed.see(b)
	m.hearing.block(b)
	m.strip.block(b)
	return nil
}

// Event implements acquire.Sink.
func (m *monitor) Event(e series.Event) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.hearing.event(e)
	return nil
}

// Tally implements acquire.TallySink.
func (m *monitor) Tally(t acquire.Tally) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.hearing.account(t)
	return nil
}

var _ acquire.TallySink = (*monitor)(nil)
