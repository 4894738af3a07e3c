package recording

import (
	"arctally/acquire/series"
	"arctally/cmd/internal/terminal"
)

// beside is the sink that tells at the terminal how the boxes are heard beside the one
// that tells the arc, and of that one whether it was heard at all.
type beside struct{ screen *terminal.Screen }

// Source implements series.Sink.
func (beside) Source(series.Source) error { return nil }

// Block implements series.Sink.
func (beside) Block(*series.Block) error { return nil }

// Event implements series.Sink.
func (b beside) Event(e series.Event) error {
	switch e.Kind {
	case series.Silent, series.Failed:
		b.screen.Tell("warning: %s; the recording goes on", e.Text)
	case series.Heard, series.ArcTold:
		b.screen.Tell("%s", e.Text)
	case series.Unplugged:
		if e.Box > 0 {
			b.screen.Tell("warning: %s; the recording goes on without it", e.Text)
		}
	case series.Replugged:
		if e.Box > 0 {
			b.screen.Tell("%s", e.Text)
		}
	}
	return nil
}
