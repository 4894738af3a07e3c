package recording

import (
	"slices"
	"sync"
	"time"

	"arctally/acquire"
	"arctally/acquire/record"
	"arctally/acquire/series"
	"arctally/analyze/note"
	"arctally/analyze/now"
	"arctally/analyze/procedure"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/jobfile"
	"arctally/report/page"
	"arctally/report/page/live"
	"arctally/report/sheet"
)

// Monitor follows a recording and tells how it stands. The recording does not
// wait for it: what it takes from it, it only notes down; a goroutine of its own
// looks at the notes every so often, whether anything comes or not, and tells.
type Monitor struct {
	hub     Audience
	now     func() time.Time
	stop    chan struct{}
	stopped chan struct{}

	mu      sync.Mutex
	judge   *Judge // nil until the port and the record are open
	board   *live.Board
	said    []series.Source // by the source of itself, the newest last
	roll    *live.Roll
	boxes   *live.Boxes
	elapsed boxTime

	wrong *MistakeError // following made the program stumble; nil is no
}

// Audience is who is told how a recording stands.
type Audience interface {
	Live(*live.State)
	Strip(live.Strip)
	Bead(live.Bead)
	Restart() // what was told of strip and bead no longer holds
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

// NewMonitor begins to tell at once that a recording waits for its first sample.
func NewMonitor(hub Audience, first live.State, p *jobfile.File, sensors []procedure.Sensor, roll *live.Roll, now func() time.Time) *Monitor {
	m := &Monitor{
		hub: hub, now: now, board: live.NewBoard(first, p.Job), roll: roll, boxes: boxesOf(sensors, now),
		stop: make(chan struct{}), stopped: make(chan struct{}),
	}
	go m.tell()
	return m
}

// Interrupted tells that nobody recorded for a while.
func (m *Monitor) Interrupted(words string, at time.Time) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.board.Interrupted(words, at)
}

// Remark puts on record that nobody may have recorded for a while, and tells it.
func (m *Monitor) Remark(onRecord, words string, at time.Time) error {
	l := m.recording()
	if l == nil {
		return ErrNotRecording
	}
	m.Interrupted(words, at)
	return l.remark(onRecord)
}

// Room tells how the disk stands.
func (m *Monitor) Room(words string, low bool) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.board.Room(words, low, m.now())
}

// boxesOf listens to the boxes of sensors.
func boxesOf(sensors []procedure.Sensor, now func() time.Time) *live.Boxes {
	ports, boxes := make([]string, len(sensors)), make([]acquire.Box, len(sensors))
	for k, s := range sensors {
		ports[k] = s.Port
		boxes[k], _ = BoxOf(s, nil, now) // the session tells the error
	}
	return live.NewBoxes(ports, acquire.Numbers(boxes), now)
}

// tell tells how the recording stands until finish.
func (m *Monitor) tell() {
	defer close(m.stopped)
	ticker := time.NewTicker(live.Every)
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

func (m *Monitor) publish() {
	state, news, any := m.news()
	if any {
		m.hub.Strip(news)
	}
	m.tellBead()
	m.hub.Live(&state)
}

// tellBead tells what was laid since it last did, as much as an event may hold, and whether
// there was anything.
func (m *Monitor) tellBead() bool {
	m.mu.Lock()
	defer m.mu.Unlock()
	news, any := m.board.BeadNews()
	if any {
		m.hub.Bead(news)
	}
	return any
}

// news is the state as it is now, and what has come to the strip.
func (m *Monitor) news() (state live.State, news live.Strip, any bool) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.lookOnce()
	if m.wrong == nil {
		m.wrong = Caught(func() { news, any = m.roll.News(m.board.Record) })
	}
	return m.board.State, news, any && m.wrong == nil
}

// Finish tells how the recording ended.
func (m *Monitor) Finish(err error) {
	close(m.stop)
	<-m.stopped
	m.mu.Lock()
	m.lookOnce()
	m.board.End(m.now())
	if err != nil {
		hint := explain.Of(err).Hint
		m.board.Phase, m.board.Trouble = live.Failed, &live.Trouble{Error: page.Outward(err.Error()), Hint: page.Outward(hint)}
	}
	state := m.board.State
	m.mu.Unlock()
	for m.tellBead() {
		continue
	}
	m.hub.Live(&state)
}

// Current returns the newest state.
func (m *Monitor) Current() live.State {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.board.State
}

// Seen takes alarms that a person has seen, and returns what is left.
func (m *Monitor) Seen(ids []int64, more bool) live.State {
	m.mu.Lock()
	defer m.mu.Unlock() // so that of two pages the later one is told last
	m.board.Touch(ids, more)
	state := m.board.State
	m.hub.Live(&state)
	return state
}

// Bead returns all that was laid.
func (m *Monitor) Bead() live.Bead {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.board.Bead()
}

// Strip returns the last half minute.
func (m *Monitor) Strip() live.Strip {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.roll.All(m.board.Record)
}

// Follow implements follower.
func (m *Monitor) Follow(l *Judge) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.judge != nil { // it is gone on with
		m.board = m.board.Anew()
		m.hub.Restart()
	}
	m.judge = l
	m.boxes.Begin()
	m.board.Begin(l.epoch)
}

// Broke implements follower.
func (m *Monitor) Broke(e *MistakeError) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.wrong = e
}

// Mistake is what made the program stumble; nil is nothing.
func (m *Monitor) Mistake() *MistakeError {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.wrong
}

// lookOnce brings the state up to date. Where the program stumbles over it, it
// shows no value any more, since it would be an old one, and says so.
func (m *Monitor) lookOnce() {
	if m.wrong == nil && m.judge != nil {
		m.wrong = m.judge.mistake()
	}
	if m.wrong == nil {
		m.wrong = Caught(m.look)
	}
	if m.wrong == nil {
		return
	}
	m.board.Stumble(sheet.Timestamp(m.now()))
	if m.judge != nil {
		if writer := m.judge.recordWriter(); writer != nil {
			m.board.DurableSamples = writer.Acknowledged()
		}
	}
}

// recording is the sink to which people add; nil before it has begun.
func (m *Monitor) recording() *Judge {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.judge
}

// Note puts what a person typed in on record, and says when that holds: at once, but for
// an end of a pass, which waits until the arc goes out.
func (m *Monitor) Note(n note.Note) (when string, err error) {
	l := m.recording()
	if l == nil {
		return "", ErrNotRecording
	}
	if err := l.note(n); err != nil {
		return "", err
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	m.lookOnce()
	if e := m.board.Ending; n.EndOfPass && e != nil {
		return e.Words, nil
	}
	return "now", nil
}

// Writer is that of the recording; nil before it has begun and after it has ended.
func (m *Monitor) Writer() *record.Writer {
	l := m.recording()
	if l == nil {
		return nil
	}
	return l.recordWriter()
}

// source is what the box that tells the arc said of itself last.
func (m *Monitor) source() *series.Source {
	if n := len(m.said); n > 0 {
		return &m.said[n-1]
	}
	return new(series.Source)
}

// Source implements series.Sink.
func (m *Monitor) Source(s series.Source) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	s.Channels = slices.Clone(s.Channels)
	m.boxes.Source(s)
	if s.Box > 0 {
		return nil
	}
	m.said = append(m.said, s)
	m.roll.Source(s)
	return nil
}

// Block implements series.Sink.
func (m *Monitor) Block(b *series.Block) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.boxes.Block(b)
	if b.Box > 0 {
		return nil
	}
	m.board.Phase = live.Running
	m.elapsed.see(b)
	m.roll.Block(b)
	return nil
}

// Event implements series.Sink.
func (m *Monitor) Event(e series.Event) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.boxes.Event(e)
	return nil
}

// Tally implements acquire.TallySink.
func (m *Monitor) Tally(t acquire.Tally) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.boxes.Account(t.Box, live.Received{Frames: t.Frames, Lost: t.Lost, Damaged: t.Damaged, Gaps: t.Gaps})
	return nil
}

var _ acquire.TallySink = (*Monitor)(nil)

// look brings the state up to date.
func (m *Monitor) look() {
	s := &m.board.State
	s.Whose = m.roll.Whose()
	s.Raw, s.Elapsed = m.roll.Raw(), m.elapsed.seconds()
	at := m.now()
	defer func() { m.board.Hear(m.boxes.Arc(), m.boxes.List(), at) }()
	if m.judge == nil || !m.elapsed.any {
		return
	}
	standing, ring := m.judge.standing(m.board)
	if writer := m.judge.recordWriter(); writer != nil {
		s.DurableSamples = writer.Acknowledged()
	}
	if standing.Moment.Epoch != m.elapsed.epoch {
		return // it still speaks of what was recorded before
	}
	m.board.Show(&standing, ring, m.source(), at)
}

// standing asks the analysis how the arc stands.
func (l *Judge) standing(board *live.Board) (now.Status, now.Turn) {
	l.mu.Lock()
	defer l.mu.Unlock()
	s := l.ahead.Now()
	if board.WantsResult(&s) {
		board.Take(l.ahead.Result())
	}
	board.Lay(l.trail.Drain())
	if s.Pass == nil || s.Pass.Number != l.ending {
		l.ending = 0
	}
	board.Awaits(l.ending > 0)
	return s, l.ahead.Turn()
}
