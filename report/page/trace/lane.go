package trace

import (
	"slices"
	"sort"
)

// point is one sample; broken where it does not follow the sample before it.
type point struct {
	tick   int64
	value  float64
	broken bool
}

// run is what one column has of a channel between two breaks.
type run struct {
	column      int
	broken      bool // does not follow the run before
	crowd       bool // several runs: none of its points follow one another
	first, last point
	low, high   point
}

// runsInColumn is how many runs of a column are kept apart; what comes between
// the first and the last of them is thrown together, as no pixel could part it.
const runsInColumn = 3

// lane gathers one channel.
type lane struct {
	window  Window
	line    Line
	runs    []run
	open    int     // the first of the runs in the column of the last one
	edge    int64   // where that column ends
	last    int64   // tick
	pending bool    // what comes next does not follow
	step    float64 // what a code of the last samples is worth
	all     []point
	keepAll bool // so far, all samples are few enough to be kept
}

// span is a run of samples that came within one column, in the order of time.
func span(first, last, low, high point) run {
	return run{first: first, last: last, low: low, high: high}
}

// add takes one sample of the window.
func (l *lane) add(tick int64, value float64) {
	p := point{tick: tick, value: value}
	l.take(span(p, p, p, p))
}

// take takes samples that lie within one column.
func (l *lane) take(r run) {
	began := len(l.runs) > 0
	if began && r.first.tick < l.last {
		l.late(r)
		return
	}
	r.broken, l.pending, l.last = began && l.pending, false, r.last.tick
	if l.keepAll {
		l.keep(r)
	}
	if began && r.first.tick < l.edge {
		open := &l.runs[len(l.runs)-1]
		if !r.broken {
			open.join(r)
			return
		}
		r.column = open.column
		l.thin()
	} else {
		r.column = l.window.column(r.first.tick)
		l.edge, l.open = l.window.edge(r.column), len(l.runs)
	}
	if !began {
		l.runs = make([]run, 0, l.window.Columns)
	}
	l.runs = append(l.runs, r)
}

// join adds samples that follow.
func (r *run) join(s run) {
	r.last = s.last
	r.stretch(s)
}

// stretch widens the extremes; of equals the first one stays.
func (r *run) stretch(s run) {
	if s.low.value < r.low.value {
		r.low = s.low
	}
	if s.high.value > r.high.value {
		r.high = s.high
	}
}

// thin throws the middle runs of the open column together.
func (l *lane) thin() {
	if len(l.runs)-l.open < runsInColumn {
		return
	}
	crowd, next := &l.runs[l.open+1], l.runs[l.open+2]
	crowd.crowd, crowd.last = true, next.last
	crowd.stretch(next)
	l.runs = slices.Delete(l.runs, l.open+2, l.open+3)
}

// late takes a sample whose time stamp stepped back: it joins the run of its
// time. In a gap it stands alone.
func (l *lane) late(r run) {
	r.column = l.window.column(r.first.tick)
	if l.keepAll {
		l.keep(r)
	}
	k := sort.Search(len(l.runs), func(k int) bool { return l.runs[k].first.tick > r.first.tick })
	for _, near := range []int{k - 1, k} { // the one before it first
		if near < 0 || near >= len(l.runs) || l.runs[near].column != r.column {
			continue
		}
		at := &l.runs[near]
		at.stretch(r)
		if r.first.tick < at.first.tick {
			at.first = r.first
		}
		if r.last.tick >= at.last.tick {
			at.last = r.last
		}
		return
	}
	r.broken = l.runs[k].broken
	l.runs = slices.Insert(l.runs, k, r)
	if k <= l.open {
		l.open++
	}
}

// keep keeps the points of a run of one sample, or of one with two at one tick,
// as long as they are few.
func (l *lane) keep(r run) {
	if l.all == nil {
		l.all = make([]point, 0, 2*l.window.Columns+2)
	}
	r.first.broken = r.broken
	k := len(l.all)
	for k > 0 && l.all[k-1].tick > r.first.tick {
		k--
	}
	if k < len(l.all) {
		r.first.broken = l.all[k].broken
	}
	l.all = slices.Insert(l.all, k, r.first)
	if r.last != (point{tick: r.first.tick, value: r.first.value}) {
		l.all = slices.Insert(l.all, k+1, r.last)
	}
	if len(l.all) > 2*l.window.Columns {
		l.all, l.keepAll = nil, false
	}
}
