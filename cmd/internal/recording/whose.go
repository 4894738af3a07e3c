package recording

import (
	"arctally/acquire/series"
	"arctally/cmd/internal/terminal"
)

// whose is the sink that tells at the terminal, at once, where it is another box that
// measures, or two that say they are one.
type whose struct {
	screen *terminal.Screen
	last   string // identity of the box that tells the arc, that was named last
}

// Source implements series.Sink. What went on before in the record is told by it too.
func (w *whose) Source(s series.Source) error {
	own := s.Identity()
	if s.Box > 0 || own == w.last || own == "" {
		return nil
	}
	switch {
	case !series.IsNamed(own) && w.last != "":
		w.screen.Tell("warning: %s measures; what is bound to %s corrects nothing of it", series.Who(own), series.Who(w.last))
		return nil
	case !series.IsNamed(own):
		return nil
	case w.last != "":
		w.screen.Tell("warning: another box measures: %s in place of %s; what is bound to the former corrects nothing of it", series.Who(own), series.Who(w.last))
	case series.IsPort(own):
		w.screen.Tell("the box says no serial: its calibrations are bound to %s", own)
	}
	w.last = own
	return nil
}

// Block implements series.Sink.
func (w *whose) Block(*series.Block) error { return nil }

// Event implements series.Sink. Another box that tells the arc is told by its source.
func (w *whose) Event(e series.Event) error {
	if e.Kind == series.SameSerial || e.Kind == series.AnotherBox && e.Box > 0 {
		w.screen.Tell("warning: %s", e.Text)
	}
	return nil
}
