package live

import "time"

// Died says that the recorder before this one has died, until somebody has seen it.
func (b *Board) Died(words string, at time.Time) {
	a := b.latch.add(cause{rule: recorderRule, since: at.UnixNano()}, at)
	a.Words = words
	b.list()
}

// Lose takes every value away that would be an old one: whoever told the state is gone.
func (s *State) Lose(words, at string) {
	s.At, s.Held, s.Last, s.Ending = at, true, nil, nil
	s.ArcOn, s.InGap, s.Steady, s.Seen = false, false, nil, nil
	s.Pass, s.Place, s.Next, s.Raw = nil, nil, nil, nil
	s.Channels, s.Ring, s.Deviations = unknown(s.Channels), nil, nil
	s.Link = Link{Port: s.Link.Port, State: LinkDoubtful, Words: words}
	for k := range s.Boxes {
		s.Boxes[k].Link = Link{Port: s.Boxes[k].Link.Port, State: LinkDoubtful, Words: words}
	}
	for k := range s.Alarms {
		s.Alarms[k].Now = false
	}
}
