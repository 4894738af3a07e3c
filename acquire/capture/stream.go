package capture

import (
	"fmt"
	"math"
	"time"

	"arctally/acquire/series"
)

// A block holds no more samples than this, and no more time where ticks rise.
const (
	blockRows = 4096
	blockTime = int64(time.Second)
)

// stream is the second reading: it hands the rows to the sink.
type stream struct {
	*plan
	found *found
	sink  series.Sink
	sum   Summary
	sent  int // notes that the sink has had

	began     bool
	epoch     int
	latest    int64
	previous  int64
	breakNext bool

	block   series.Block
	ticks   []int64
	volts   []int32
	amperes []int32
	flags   []bool
	wire    series.Block
	turns   turnCounts
	step    int64 // ns, where ticks need not be written
	next    int64 // tick that follows the block, where step is set

	broken, empty, back, wraps merged
	repeats                    series.Event
}

// mostLeft is how many lines that were left are named.
const mostLeft = 5

func newStream(p *plan, f *found, sink series.Sink) *stream {
	s := &stream{
		plan: p, found: f, sink: sink,
		ticks: make([]int64, 0, blockRows), volts: make([]int32, 0, blockRows),
		amperes: make([]int32, 0, blockRows), flags: make([]bool, 0, blockRows),
	}
	s.latest = f.first // where rows are placed that cannot be read and come before all others
	if p.stamps == nil {
		s.step = p.step()
	}
	s.broken = merged{kind: series.Unreadable, noun: "unreadable row", send: sink.Event}
	s.empty = merged{kind: series.Unreadable, noun: "row", rest: " without voltage, current or arc flag", send: sink.Event}
	s.back = merged{kind: series.ClockBack, noun: "step", rest: " of the time stamps backwards", send: sink.Event}
	s.wraps = merged{kind: series.Remark, noun: "wrap", rest: " of the clock at the full hour or day, unrolled", send: sink.Event}
	s.sum = Summary{
		Source: f.source, Step: time.Duration(f.step), Refresh: time.Duration(f.source.Refresh),
		HeldAfter: time.Duration(f.source.HeldAfter), MayBeHeldAfter: time.Duration(f.source.MayBeHeldAfter), Basis: f.source.Channels[series.VoltageChannel].Basis,
		Dated: p.stamps != nil && p.stamps.dated, Flagged: p.flag.given(),
		Notes: append(append([]string(nil), p.notes...), f.notes...),
	}
	return s
}

func (s *stream) open() error { return s.sink.Source(s.found.source) }

func (s *stream) row(r *row) error {
	s.sum.Rows++
	if r.state == unreadable {
		if s.sum.Unreadable++; len(s.sum.Left) < mostLeft {
			s.sum.Left = append(s.sum.Left, r.line)
		}
		return s.broken.add(s.epoch, s.latest, r)
	}
	if r.wrapped {
		if err := s.wraps.add(r.epoch, r.tick, r); err != nil {
			return err
		}
	}
	if r.state == noValue {
		s.sum.NoValue++
		s.breakNext = true
		return s.empty.add(r.epoch, r.tick, r)
	}
	if err := s.join(r); err != nil {
		return err
	}
	s.append(r)
	if len(s.volts) == blockRows || r.tick-s.block.Tick >= blockTime {
		return s.flush()
	}
	return nil
}

// join says how a sample follows the one before it.
func (s *stream) join(r *row) error {
	defer func() {
		s.began, s.epoch, s.previous = true, r.epoch, r.tick
	}()
	if !s.began || r.epoch != s.epoch {
		return s.beginEpoch(r)
	}
	d := r.tick - s.latest
	if d <= 0 {
		s.sum.Behind++
	}
	if err := s.stepBack(r); err != nil {
		return err
	}
	switch {
	case d > s.found.source.MaxStep:
		if err := s.gap(r, d); err != nil {
			return err
		}
	case s.breakNext:
		if err := s.breakHere(); err != nil {
			return err
		}
	}
	if d > 0 {
		s.latest = r.tick
	}
	if s.step > 0 && len(s.volts) > 0 && r.tick != s.next {
		return s.flush() // a row was left out, and the block has no ticks to show it
	}
	return nil
}

func (s *stream) breakHere() error {
	s.turns.rest()
	err := s.flush()
	s.block.Break = true
	s.breakNext = false
	return err
}

func (s *stream) beginEpoch(r *row) error {
	if err := s.breakHere(); err != nil {
		return err
	}
	s.sum.Epochs++
	if !s.began {
		s.sum.First = r.tick
		s.latest = r.tick
		if err := s.sayFirst(r); err != nil {
			return err
		}
		return s.sayWall(r)
	}
	s.sum.Backward++
	by := s.previous - r.tick
	s.latest = r.tick
	if err := s.sink.Event(series.Event{
		Kind: series.ClockBack, Epoch: r.epoch, Tick: r.tick, Until: r.tick, Count: 1,
		Text: fmt.Sprintf("line %d: the clock was set back by %s and stayed so; a new epoch begins", r.line, seconds(by)),
	}); err != nil {
		return err
	}
	return s.sayWall(r)
}

func (s *stream) stepBack(r *row) error {
	switch {
	case r.tick < s.previous:
		s.sum.Backward++
		return s.back.add(r.epoch, r.tick, r)
	case r.tick == s.previous:
		s.sum.Repeated++
		if s.repeats.Count++; s.repeats.Count == 1 {
			s.repeats.Epoch, s.repeats.Tick = r.epoch, r.tick
		}
		s.repeats.Until = max(r.tick, s.repeats.Tick)
	}
	return nil
}

func (s *stream) gap(r *row, d int64) error {
	if err := s.breakHere(); err != nil {
		return err
	}
	s.sum.Gaps++
	s.sum.GapTotal += time.Duration(d)
	return s.sink.Event(series.Event{
		Kind: series.Gap, Epoch: r.epoch, Tick: s.latest, Until: r.tick, Count: 1,
		Text: fmt.Sprintf("line %d: no rows for %s", r.line, seconds(d)),
	})
}

// append adds a sample to the block under way.
func (s *stream) append(r *row) {
	if len(s.volts) == 0 {
		s.block.Kind, s.block.Epoch, s.block.Tick, s.block.Step = series.Arc, r.epoch, r.tick, s.step
	}
	s.next = r.tick + s.step
	if s.step == 0 {
		s.ticks = append(s.ticks, r.tick)
	}
	s.volts = append(s.volts, int32(r.v.at(s.found.vDecimals)))
	s.amperes = append(s.amperes, int32(r.i.at(s.found.iDecimals)))
	if s.flag.given() {
		s.flags = append(s.flags, r.flag)
	}
	s.sum.Samples++
	s.sum.Last = r.tick
	if r.noWire {
		s.sum.NoWire++
	}
	s.slow(r)
}

func (s *stream) slow(r *row) {
	index := uint8(series.CurrentChannel)
	say := func(value float64) {
		index++
		if math.IsNaN(value) {
			return
		}
		w := &s.wire
		if len(w.Value) == 0 {
			w.Kind, w.Epoch, w.Tick = series.Slow, r.epoch, r.tick
		}
		w.Ticks = append(w.Ticks, r.tick)
		w.Channel = append(w.Channel, index)
		w.Value = append(w.Value, value)
	}
	for _, x := range []struct {
		c     column
		value float64
	}{{s.wireSpeed, r.speed}, {s.wireLength, r.length}} {
		if x.c.given() {
			say(x.value)
		}
	}
	for _, x := range r.place[:len(s.position.at)] {
		say(x)
	}
	if s.travel.given() {
		say(r.travel)
	}
	if r.turned {
		s.turns.add(r.epoch, r.tick, s.found.count(r.turns))
	}
}

// flush hands the block under way to the sink.
func (s *stream) flush() error {
	if w := &s.wire; len(w.Value) > 0 {
		if err := s.sink.Block(w); err != nil {
			return err
		}
		w.Ticks, w.Channel, w.Value = w.Ticks[:0], w.Channel[:0], w.Value[:0]
	}
	if err := s.turns.flush(s.sink); err != nil {
		return err
	}
	if len(s.volts) == 0 {
		return nil
	}
	b := &s.block
	b.V, b.I = s.volts, s.amperes
	if s.step == 0 {
		b.Ticks = s.ticks
	}
	if s.flag.given() {
		b.Flag = s.flags
	}
	err := s.sink.Block(b)
	s.ticks, s.volts, s.amperes, s.flags = s.ticks[:0], s.volts[:0], s.amperes[:0], s.flags[:0]
	b.Break = false
	return err
}
