package live

import (
	"math"
	"slices"

	"arctally/acquire/series"
)

// Whose says which box a roll hears, whether it is another one than before, and for
// what of it no calibration on record holds.
func (s *Roll) Whose() Whose {
	w := Whose{Words: "no box has spoken yet", Without: []string{}}
	who := s.register.Speakers
	if len(who) == 0 {
		return w
	}
	last := &who[len(who)-1].Source
	own := last.Identity()
	w.Words = series.Who(own)
	if series.IsPort(own) {
		w.Words += ", which says no serial: its calibrations are bound to the port"
	}
	for k := len(who) - 2; k >= 0; k-- {
		before := who[k].Source.Identity()
		if series.IsNamed(before) && before != own {
			text := "another box measures: " + series.Who(own) + " in place of " + series.Who(before)
			w.Change = &text
			break
		}
	}
	for _, c := range last.Channels {
		if s.elsewhere(c) && !slices.Contains(w.Without, c.Name) {
			w.Without = append(w.Without, c.Name)
		}
	}
	return w
}

// elsewhere tells whether all calibrations of a channel are of other boxes.
func (s *Roll) elsewhere(c series.Channel) bool {
	any := false
	for k := range s.register.All {
		if own := &s.register.All[k]; own.Channel == c.Name && own.HoldsAt(math.MaxInt, 0) {
			if any = true; s.register.Speakers.Holds(own, len(s.register.Speakers)-1) {
				return false
			}
		}
	}
	return any
}
