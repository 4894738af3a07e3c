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

// endings are those of the whole record, in the order of time.
type endings struct {
	all  []ending
	next ending // the first that the pass under way may meet
}

// begin says that a pass begins at a moment: no ending before it is meant for it,
// nor one of another epoch.
func (e *endings) begin(began Moment) {
	e.next = never
	for _, x := range e.all {
		if x.at.Epoch == began.Epoch && x.at.Tick > began.Tick {
			e.next = x
			return
		}
	}
}

func (e *endings) add(x ending) {
	k, _ := slices.BinarySearchFunc(e.all, x.at, func(e ending, at Moment) int {
		return cmp.Or(e.at.Compare(at), -1) // behind those of the same moment
	})
	e.all = slices.Insert(e.all, k, x)
}

// EndBy says that a person ends the pass that is under way at a moment: there if
// the arc is out, else at the end of the arc interval. What is laid after it is
// another pass. It must come before the samples of that moment; where no pass is
// under way then, nothing ends.
func (s *Splitter) EndBy(by string, at Moment) {
	s.endings.add(ending{at, by})
	if s.current != nil {
		s.endings.begin(s.current.Start)
	}
}
