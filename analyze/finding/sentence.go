package finding

import (
	"fmt"

	"arctally/acquire/quantity"
)

// Composed is the sentence anew, of what the finding keeps. That of a rule with more numbers
// in it than a finding keeps stays as it was filed.
func (f *Finding) Composed() string {
	if r := rowOf(f.Rule); r != nil && r.what != "" {
		return r.sentence(f)
	}
	return f.Sentence
}

// sentence says what happened, where, how far out, and what to look at.
func (r *row) sentence(f *Finding) string {
	look, side := r.above, "above"
	if f.Below() {
		look, side = r.below, "below"
	}
	value, limit := r.unit.Against(f.Worst, f.Limit)
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
		text += fmt.Sprintf(", from %.0f deg at %s depth", float64(f.Place.Angle), quantity.Text(f.Place.Depth, "mm", 1))
	}
	if r.lasts && f.Whole() {
		text += ", through all of the pass"
	}
	return text + "; " + look
}
