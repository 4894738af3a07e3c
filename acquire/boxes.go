package acquire

import (
	"context"
	"sync"
	"time"

	"arctally/acquire/link"
	"arctally/acquire/series"
)

// Box is one sensor box of a recording.
type Box struct {
	Talker Talker
	// Source is what is taken for its source until it has described itself, with its
	// port. Box is filled in.
	Source series.Source
}

// RecordBoxes records several boxes until the one that tells the arc ends, ctx ends
// or a sink fails; it returns the account of each, in the order of boxes. All of them
// hand to the same sinks, one at a time, and none waits for another one to speak.
// Every epoch belongs to one box.
//
// What goes wrong with the box that tells the arc ends the recording. What goes wrong
// with another one is an event, told once: its talker is asked again while the recording
// lasts.
func RecordBoxes(ctx context.Context, boxes []Box, c Config) ([]Tally, error) {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	if c.Ended != nil {
		context.AfterFunc(ctx, c.Ended)
	}
	e := newEnsemble(boxes, c, stop)
	var talking sync.WaitGroup
	for k := range boxes {
		if l, ok := boxes[k].Talker.(*line); ok && len(boxes) > 1 {
			l.asks() // of one box alone nothing is to be joined
		}
		talking.Go(func() { e.listen(ctx, boxes[k].Talker, e.recorders[k]) })
	}
	e.watch(ctx)
	talking.Wait()
	return e.finish()
}

// ensemble is one run of RecordBoxes.
type ensemble struct {
	stop context.CancelFunc
	beat <-chan time.Time

	mu        sync.Mutex // guards what follows, and the recorders
	out       fanout
	recorders []*recorder
	roles     roles
	epoch     int       // the next one that is free
	began     time.Time // the first host time of all
	err       error     // of the box that tells the arc
}

func newEnsemble(boxes []Box, c Config, stop context.CancelFunc) *ensemble {
	e := &ensemble{stop: stop, beat: c.Beat, out: fanout{sinks: c.Sinks}, epoch: c.Epoch}
	for _, b := range boxes {
		e.recorders = append(e.recorders, newRecorder(e, b.Source))
	}
	e.assign()
	return e
}

// steady is a host time as if nobody had set the host's clock since the recording began:
// the times of all boxes must have one origin.
func (e *ensemble) steady(at time.Time) time.Time {
	if e.began.IsZero() {
		e.began = at
	}
	return e.began.Add(at.Sub(e.began))
}

// nextEpoch returns the number of an epoch that no box has had.
func (e *ensemble) nextEpoch() int {
	e.epoch++
	return e.epoch - 1
}

// pauseAfterFailure is how long a talker that failed is left alone.
const pauseAfterFailure = time.Second

// listen lets a box talk until the recording ends.
func (e *ensemble) listen(ctx context.Context, t Talker, r *recorder) {
	for {
		err := t.Talk(ctx, listener{r})
		if !e.asksAgain(ctx, r, err) {
			return
		}
		pause := time.NewTimer(pauseAfterFailure)
		select {
		case <-ctx.Done():
			pause.Stop()
			return
		case <-pause.C:
		}
	}
}

// asksAgain judges how a box has ended, and reports whether it may begin anew.
func (e *ensemble) asksAgain(ctx context.Context, r *recorder, err error) bool {
	e.mu.Lock()
	defer e.mu.Unlock()
	switch {
	case ctx.Err() != nil:
		return false
	case r == e.recorders[e.roles.arc]:
		e.fail(err)
		return false
	case err != nil:
		r.failed(err)
		return true
	default:
		return false
	}
}

// fail ends the recording; a nil error does so without one.
func (e *ensemble) fail(err error) {
	if e.err == nil {
		e.err = err
	}
	e.stop()
}

// watch tells of silences until the recording ends.
func (e *ensemble) watch(ctx context.Context) {
	beat := e.beat
	if beat == nil {
		ticker := time.NewTicker(time.Second)
		defer ticker.Stop()
		beat = ticker.C
	}
	for {
		select {
		case <-ctx.Done():
			return
		case <-beat:
			e.mu.Lock()
			for _, r := range e.recorders {
				r.listenForSilence()
			}
			e.sinkFailed()
			e.mu.Unlock()
		}
	}
}

// sinkFailed ends the recording where a sink has failed.
func (e *ensemble) sinkFailed() {
	if e.out.err != nil {
		e.stop()
	}
}

// finish hands out what was open, and returns the accounts.
func (e *ensemble) finish() (tallies []Tally, err error) {
	e.mu.Lock()
	defer e.mu.Unlock()
	for _, r := range e.recorders {
		r.finish()
		r.tally.Box = r.source.Box
		tallies = append(tallies, r.tally)
	}
	if e.out.err != nil {
		return tallies, e.out.err
	}
	return tallies, e.err
}

// listener is a recorder as its talker sees it.
type listener struct{ *recorder }

// Heard implements Listener.
func (l listener) Heard(arrival time.Time, reading *link.Reading, damage error) {
	l.all.mu.Lock()
	defer l.all.mu.Unlock()
	l.now = arrival
	l.take(reading, damage)
	l.all.sinkFailed()
}

// Through implements Listener.
func (l listener) Through(arrival time.Time, bytes int) {
	l.all.mu.Lock()
	defer l.all.mu.Unlock()
	l.now = arrival
	l.tally.Bytes += int64(bytes)
	l.endOfRead()
	l.tally.Box = l.source.Box
	l.out.tally(l.tally)
	if l.tally.Frames == 0 && l.wrong.shown(arrival, l.tally.Bytes) {
		l.misread()
	}
	l.all.sinkFailed()
}

// Line implements Listener.
func (l listener) Line(e series.Event) {
	l.all.mu.Lock()
	defer l.all.mu.Unlock()
	l.lineEvent(e)
	l.all.sinkFailed()
}

// misread is called where bytes have come for so long that a frame should have.
func (r *recorder) misread() {
	err := &Error{Kind: NoFrames, Link: r.source.Link, Bytes: r.tally.Bytes, Err: r.wrong.damage}
	if r == r.all.recorders[r.all.roles.arc] {
		r.all.fail(err)
	} else if !r.quiet.misread {
		r.quiet.misread = true
		r.failed(err)
	}
}
