package acquire

import (
	"arctally/acquire/clock"
	"arctally/acquire/series"
)

// ClockSink is a series.Sink that also wants to know how ticks map to host time: of a
// box about once a second, of a capture once an epoch.
type ClockSink interface {
	series.Sink
	Clock(clock.Fit) error
}

// TallySink is a Sink that also wants the accounts: it is told that of a box after
// every read of it that brought bytes, once all that they meant has been handed out.
type TallySink interface {
	series.Sink
	Tally(Tally) error
}

// Watched is a reader whose line can go and come back, as a port's can. It
// calls f in the goroutine that reads, during Read.
type Watched interface {
	Watch(f func(series.Event))
}

// fanout hands everything to all sinks. After the first error nobody gets
// anything more: sinks that have not seen the same must not be compared.
type fanout struct {
	sinks []series.Sink
	err   error
}

func (f *fanout) source(s series.Source) {
	f.each(func(sink series.Sink) error { return sink.Source(s) })
}

func (f *fanout) event(e series.Event) {
	f.each(func(sink series.Sink) error { return sink.Event(e) })
}

func (f *fanout) clock(fit clock.Fit) {
	f.each(func(sink series.Sink) error {
		if c, ok := sink.(ClockSink); ok {
			return c.Clock(fit)
		}
		return nil
	})
}

func (f *fanout) tally(t Tally) {
	f.each(func(sink series.Sink) error {
		if c, ok := sink.(TallySink); ok {
			return c.Tally(t)
		}
		return nil
	})
}

func (f *fanout) each(call func(series.Sink) error) {
	for _, sink := range f.sinks {
		if f.err != nil {
			return
		}
		f.err = call(sink)
	}
}

// block is written out because it runs for every block: no closure.
func (f *fanout) block(b *series.Block) {
	for _, sink := range f.sinks {
		if f.err != nil {
			return
		}
		f.err = sink.Block(b)
	}
}
