package analyze

import "arctally/analyze/byangle"

// swept files what a sweep shows. Its last pass may be complete already.
func (r *Run) swept(s byangle.Sweep) {
	late := r.watch.Swept(s)
	for k := range r.passes {
		if r.passes[k].Number == s.Last {
			r.passes[k].Findings += late
		}
	}
}
