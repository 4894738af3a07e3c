package review

import (
	"errors"
	"strconv"

	"arctally/acquire/foreign"
	"arctally/acquire/quantity"
	"arctally/analyze/note"
	"arctally/analyze/plausible"
	"arctally/cmd/internal/explain"
)

// TypedNote is a note, and the text of its value as it was typed.
type TypedNote struct {
	note.Note
	Value string
}

// doubt holds the value of a note against what is usual; nil where it has none, or a
// usual one.
func (t TypedNote) doubt() *plausible.Doubt {
	switch {
	case t.Temperature != nil:
		return plausible.Check(of[quantity.Celsius]("note.temperature"), "temperature", *t.Temperature, t.Value)
	case t.GasFlow != nil:
		return plausible.Check(of[quantity.CubicMetresPerSecond]("note.gas_flow"), "gas-flow", *t.GasFlow, t.Value)
	case t.TorchAt != nil:
		return plausible.Check(of[quantity.Degrees]("note.torch_at"), "torch-at", *t.TorchAt, t.Value)
	default:
		return nil
	}
}

// SureNotes are the notes to put on record: with one more that says which values were
// kept on purpose, where there are such. Sure is what was said again; the error is a
// *plausible.UnsureError where that does not do.
func SureNotes(typed []TypedNote, sure []string) (notes []note.Note, err error) {
	var texts []string
	var doubts []*plausible.Doubt
	by := ""
	for _, t := range typed {
		if err := errors.Join(foreign.Fits("by", t.By, foreign.LongestSigned), foreign.Fits("text", t.Text, foreign.LongestRemark)); err != nil {
			return nil, &explain.Error{Kind: explain.Unfit, Cause: err, Next: "say it in fewer letters, or in two notes"}
		}
		notes = append(notes, t.Note)
		texts, by = append(texts, t.Value), t.By
		if d := t.doubt(); d != nil {
			doubts = append(doubts, d)
		}
	}
	if err := quantity.Alike(texts...); err != nil {
		return nil, err
	}
	kept, err := plausible.Settle(doubts, sure, func(d *plausible.Doubt) string { return "--sure " + strconv.Quote(d.Sure()) })
	if words := plausible.KeptWords(kept); words != "" {
		notes = append(notes, note.Note{By: by, Text: words})
	}
	return notes, err
}
