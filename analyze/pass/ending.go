package pass

import (
	"cmp"
	"math"
	"slices"
)

// ending is where a person says that a pass is over.
type ending struct {
	at Moment
	by string
}

// never is the ending of a pass that nobody ends.
var never = ending{at: Moment{Tick: math.MaxInt64}}

// EndBy says that a person ends the pass that is under way at a moment: there if
// the arc is out, else at the end of the arc interval. What is laid after it is
// another pass. It must come before the samples of that moment; where no pass is
// under way then, nothing ends.
func (s *Splitter) EndBy(by string, at Moment) {
	k, _ := slices.BinarySearchFunc(s.ends, at, func(e ending, at Moment) int {
		return cmp.Or(e.at.Compare(at), -1) // behind those of the same moment
	})
	s.ends = slices.Insert(s.ends, k, ending{at, by})
	if s.current != nil {
		s.due = s.firstEnding(s.current.Start)
	}
}

// firstEnding returns the first ending after a pass began, in the same epoch.
func (s *Splitter) firstEnding(began Moment) ending {
	for _, e := range s.ends {
		if e.at.Epoch == began.Epoch && e.at.Tick > began.Tick {
			return e
		}
	}
	return never
}

// ended reports whether the pass under way was ended by hand up to a tick, and
// notes by whom.
func (s *Splitter) ended(tick int64) bool {
	if s.due.at.Tick > tick {
		return false
	}
	s.current.EndedBy = s.due.by
	return true
}
