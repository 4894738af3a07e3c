package acquire

import "arctally/acquire/series"

// roles say which of the boxes tells the arc. It is the first in the order of the job
// that may sample voltage and current: one may until its own description, or the
// channels that the job names for it, say that it does not. Where none may, it is the
// first. Once it has sampled them, it stays.
//
// The one that tells the arc has number 0, the others have 1 and so on in the order of
// the job. One that was to tell the arc, and does not, gets a number that none had: no
// two of a recording ever have the same number but for 0.
type roles struct {
	arc     int // place of the one that tells the arc
	settled bool
	spare   int // a number that none has had
}

// Numbers returns the number of every box as it is before anything was heard, by what
// each is taken for.
func Numbers(boxes []Box) []int {
	numbers := make([]int, len(boxes))
	for k, r := range newEnsemble(boxes, Config{}, nil).recorders {
		numbers[k] = r.source.Box
	}
	return numbers
}

// assign gives every box its number before anything was heard.
func (e *ensemble) assign() {
	e.roles = roles{arc: max(0, e.nextArc(0)), spare: 1}
	for k, r := range e.recorders {
		if r.source.Box = 0; k != e.roles.arc {
			r.source.Box = e.spareNumber()
		}
	}
}

func (e *ensemble) spareNumber() int {
	e.roles.spare++
	return e.roles.spare - 1
}

// nextArc returns the first place from one on that may tell the arc, -1 where none is.
func (e *ensemble) nextArc(from int) int {
	for k := from; k < len(e.recorders); k++ {
		if e.recorders[k].source.SamplesArc() {
			return k
		}
	}
	return -1
}

// measured is told that a box has sampled voltage and current.
func (e *ensemble) measured(r *recorder) {
	e.roles.settled = e.roles.settled || r.source.Box == 0
}

// described is told that a box has described itself: the one that was to tell the arc
// may turn out not to.
func (e *ensemble) described(r *recorder) {
	from := e.roles.arc
	if e.roles.settled || e.recorders[from] != r || r.source.SamplesArc() {
		return
	}
	next := e.nextArc(from + 1)
	if next < 0 {
		return
	}
	e.roles.arc = next
	r.renumber(e.spareNumber())
	other := e.recorders[next]
	if other.renumber(0) {
		other.announced = true
		other.out.source(other.source)
		other.event(series.Event{
			Kind: series.ArcTold, Tick: other.position.tick, Until: other.position.tick, Count: 1,
			Text: "from here on " + other.who() + " tells the arc: " + r.who() + " samples neither voltage nor current",
		})
	}
}

// renumber gives a box another number, and an epoch under it where it has had one
// under the former; it reports whether it had.
func (r *recorder) renumber(box int) bool {
	had := r.announced
	if had {
		r.endEpoch()
		r.anew(r.position.tick)
	}
	r.source.Box = box
	return had
}
