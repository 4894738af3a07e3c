package analyze

import "arctally/analyze/angular"

// swept files what a sweep shows. Its last pass may be complete already.
func (r *Run) swept(s angular.Sweep) {
	late := r.watch.Swept(s)
	for k := range r.passes {
		if r.passes[k].Number == s.Last {
			r.passes[k].Findings += late
		}
	}
}
