package workshop

import (
	"strings"

	"arctally/acquire/series"
	"arctally/analyze/note"
	"arctally/cmd/internal/recording"
	"arctally/report/page"
)

// opening is the monitor of a recording that somebody began knowing what is missing, or at a
// device that was paired: that goes on record with the first samples.
type opening struct {
	*recording.Monitor
	note note.Note
	kept bool
}

// knowing is the follower of a recording that is asked for.
func knowing(m *recording.Monitor, r page.StartRequest) recording.Follower {
	said := "recording begun"
	if len(r.Without) > 0 {
		said = "begun knowingly with: " + strings.Join(r.Without, "; ")
	} else if page.NameOf(r.By) == r.By { // at the machine itself, and nothing is missing
		return m
	}
	return &opening{Monitor: m, note: note.Note{By: r.By, Text: said}}
}

// Block implements series.Sink.
func (o *opening) Block(b *series.Block) error {
	if err := o.Monitor.Block(b); err != nil || b.Box > 0 || o.kept {
		return err
	}
	o.kept = true
	_, err := o.Note(o.note)
	return err
}
