package workshop

import (
	"strings"

	"arctally/acquire/series"
	"arctally/analyze/note"
	"arctally/cmd/internal/recording"
	"arctally/report/page"
)

// opening is the monitor of a recording that somebody began knowing what is missing: that
// goes on record with the first samples.
type opening struct {
	*recording.Monitor
	note note.Note
	kept bool
}

// knowing is the follower of a recording that is asked for.
func knowing(m *recording.Monitor, r page.StartRequest) recording.Follower {
	if len(r.Without) == 0 {
		return m
	}
	return &opening{Monitor: m, note: note.Note{By: r.By, Text: "begun knowingly with: " + strings.Join(r.Without, "; ")}}
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
