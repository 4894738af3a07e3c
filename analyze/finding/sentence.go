package finding

import (
	"fmt"

	"arctally/acquire/quantity"
)

// Words print the numbers of a sentence for a reader.
type Words struct {
	// Against are a value of a rule and its limit, with their unit; printed alike only
	// where they are equal.
	Against func(rule Rule, value, limit float64) (said, against string)
	Depth   func(quantity.Metres) string
}

// metric are the words of a record.
var metric = Words{
	Against: func(rule Rule, value, limit float64) (string, string) {
		unit, _ := Units(rule)
		return unit.Against(value, limit)
	},
	Depth: func(d quantity.Metres) string { return quantity.Text(d, "mm", 1) },
}

// SentenceIn is the sentence in a reader's words. That of a rule with more numbers
// in it than a finding keeps stays as it was filed.
func (f *Finding) SentenceIn(w Words) string {
	if r := rowOf(f.Rule); r != nil && r.what != "" {
		return r.sentence(f, w)
	}
	return f.Sentence
}

// sentence says what happened, where, how far out, and what to look at.
func (r *row) sentence(f *Finding, w Words) string {
	look, side := r.above, "above"
	if f.Below() {
		look, side = r.below, "below"
	}
	value, limit := w.Against(f.Rule, f.Worst, f.Limit)
	text := fmt.Sprintf("%s %s, %s the limit of %s", r.what, value, side, limit)
	if f.By != "" {
		return text + ", typed in by " + f.By + "; " + look
	}
	if r.says != nil {
		text = r.says(f)
	}
	if r.lasts {
		text += fmt.Sprintf(" for %.1f s", float64(f.Duration))
	}
	if f.Place != nil {
		text += fmt.Sprintf(", from %.0f deg at %s depth", float64(f.Place.Angle), w.Depth(f.Place.Depth))
	}
	if r.lasts && f.Whole() {
		text += ", through all of the pass"
	}
	return text + "; " + look
}
