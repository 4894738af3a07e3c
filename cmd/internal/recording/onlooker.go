package recording

import (
	"fmt"
	"runtime/debug"

	"arctally/acquire"
	"arctally/acquire/clock"
	"arctally/acquire/series"
)

// onlooker is the sink that stands between a recording and what only looks on: a
// mistake of the program in there must not end what is recorded. After one, it
// hands nothing on any more.
type onlooker struct {
	series.Sink
	broke func(*MistakeError) // hears of the mistake, once
	gone  bool
}

var _ acquire.TallySink = (*onlooker)(nil)

// Source implements series.Sink.
func (o *onlooker) Source(s series.Source) error {
	return o.let(func() error { return o.Sink.Source(s) })
}

// Block implements series.Sink.
func (o *onlooker) Block(b *series.Block) error {
	return o.let(func() error { return o.Sink.Block(b) })
}

// Event implements series.Sink.
func (o *onlooker) Event(e series.Event) error {
	return o.let(func() error { return o.Sink.Event(e) })
}

// Tally implements acquire.TallySink.
func (o *onlooker) Tally(t acquire.Tally) error {
	counting, ok := o.Sink.(acquire.TallySink)
	if !ok {
		return nil
	}
	return o.let(func() error { return counting.Tally(t) })
}

// Clock implements acquire.ClockSink.
func (o *onlooker) Clock(f clock.Fit) error {
	timed, ok := o.Sink.(acquire.ClockSink)
	if !ok {
		return nil
	}
	return o.let(func() error { return timed.Clock(f) })
}

// let lets it look. An error is passed on, and ends the recording: it says that
// what comes in cannot be right.
func (o *onlooker) let(look func() error) (err error) {
	if o.gone {
		return nil
	}
	mistake := Caught(func() { err = look() })
	if mistake != nil {
		o.gone = true
		o.broke(mistake)
		return nil
	}
	return err
}

// Caught makes a mistake out of a panic.
func Caught(work func()) (mistake *MistakeError) {
	defer func() {
		if cause := recover(); cause != nil {
			mistake = &MistakeError{cause: cause, Stack: debug.Stack()}
		}
	}()
	work()
	return nil
}

// MistakeError is a mistake of the program where it looks at what is recorded.
type MistakeError struct {
	cause any
	Stack []byte
}

// Error implements error.
func (e *MistakeError) Error() string {
	return fmt.Sprintf("the program made a mistake in judging what was recorded: %v", e.cause)
}

// Hint says what is not touched by it.
func (e *MistakeError) Hint() string {
	return "what was recorded is stored, and no sample is missing for it: keep the record, and tell who looks after the program what stands at its terminal"
}
