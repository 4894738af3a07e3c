package live

import "time"

// Interrupted says that nobody recorded for a while, until somebody has seen it.
func (b *Board) Interrupted(words string, at time.Time) {
	a := b.latch.add(cause{rule: recorderRule, since: at.UnixNano()}, at)
	a.Words = words
	b.list()
}

// Room says how the disk of the record stands: an alarm while there is little room, which
// stays until somebody has seen it.
func (b *Board) Room(words string, low bool, at time.Time) {
	a := b.latch.find(cause{rule: diskRule})
	if a == nil {
		if words == "" {
			return
		}
		a = b.latch.add(cause{rule: diskRule}, at)
	}
	if words != "" {
		a.Words = words
	}
	a.Now, a.open = low, low
	b.latch.settle()
	b.list()
}

// Anew is the board of a recording that is gone on with: what was laid is told from the
// beginning, and alarms that nobody has seen stay.
func (b *Board) Anew() *Board {
	n := NewBoard(State{Record: b.Record, Job: b.State.Job, JobFile: b.JobFile}, b.job)
	n.latch = b.latch
	n.list()
	return n
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
