package capture

import (
	"fmt"
	"time"

	"arctally/acquire"
	"arctally/acquire/clock"
	"arctally/acquire/series"
)

func (s *stream) lines(t tally) {
	s.sum.Comments, s.sum.Preamble = t.comments, t.preamble
	if t.comments > 0 {
		s.note(plural(t.comments, "line") + " beginning with # skipped as comments")
	}
	if t.preamble > 0 {
		s.note(plural(t.preamble, "line") + " before the first row of data hold no measurements")
	}
	if t.open {
		s.note("the last line has no line end: its last number may be cut short")
	}
}

func (s *stream) note(text string) { s.sum.Notes = append(s.sum.Notes, text) }

// sayWall ties the epoch to the time of day, for sinks that keep it.
func (s *stream) sayWall(r *row) error {
	k, ok := s.sink.(acquire.ClockSink)
	if !ok || !s.sum.Dated {
		return nil
	}
	at := time.Unix(0, r.tick).UTC()
	return k.Clock(clock.Fit{Epoch: r.epoch, Tick: r.tick, Wall: at, Slope: 1, Arrival: at})
}

// sayFirst keeps with the record what was taken for what.
func (s *stream) sayFirst(r *row) error {
	if s.found.neverMoved {
		s.note("voltage and current never change: whether they are held cannot be told")
	} else if f := s.found.source; f.Refresh > 0 {
		s.note("voltage and current are refreshed every " + seconds(f.Refresh))
	}
	if f := s.found.source; f.HeldAfter > 0 {
		s.note("values that stand still for more than " + seconds(f.HeldAfter) + " are held")
	}
	if f := s.found.source; f.MayBeHeldAfter > 0 {
		s.note("values that stand still for more than " + seconds(f.MayBeHeldAfter) + " may be held, or those of a steady arc")
	}
	return s.sendNotes(r.epoch, r.tick, r.tick)
}

// sendNotes hands on the notes that the sink has not had yet.
func (s *stream) sendNotes(epoch int, from, until int64) error {
	for _, n := range s.sum.Notes[s.sent:] {
		s.sent++
		e := series.Event{Kind: series.Remark, Epoch: epoch, Tick: from, Until: until, Count: 1, Text: n}
		if err := s.sink.Event(e); err != nil {
			return err
		}
	}
	return nil
}

// close sends what is still under way and the words on the whole.
func (s *stream) close() error {
	s.turns.rest()
	if err := s.flush(); err != nil {
		return err
	}
	for _, m := range []*merged{&s.broken, &s.empty, &s.back, &s.wraps} {
		if err := m.flush(); err != nil {
			return err
		}
	}
	if s.sum.NoWire > 0 {
		s.note(plural(s.sum.NoWire, "row") + " without a number in the columns of wire or travel")
	}
	if err := s.sendNotes(s.epoch, s.latest, s.latest); err != nil {
		return err
	}
	if s.repeats.Count == 0 {
		return nil
	}
	s.note(plural(s.repeats.Count, "row") + " with the same time stamp as the row before")
	return s.sendNotes(s.repeats.Epoch, s.repeats.Tick, s.repeats.Until)
}

func plural(n int64, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return fmt.Sprintf("%d %ss", n, word)
}

// seconds writes a duration in ns for a person.
func seconds(ns int64) string { return fmt.Sprintf("%.4g s", time.Duration(ns).Seconds()) }
