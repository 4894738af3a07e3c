package trace

import (
	"cmp"
	"slices"
)

// finish makes the line of what was gathered.
func (l *lane) finish() Line {
	line := l.line
	room := 2*len(l.runs) + 2
	if l.keepAll {
		room = len(l.all)
	}
	line.Tick, line.Value = make([]int64, 0, room), make([]float64, 0, room)
	if l.keepAll {
		line.EverySample = line.Resolution == 0
		for _, p := range l.all {
			line.put(p)
		}
		return line
	}
	var few [4]point
	for k := range l.runs {
		r := &l.runs[k]
		alone := k+1 == len(l.runs) || l.runs[k+1].broken
		for i, p := range r.points(few[:0], k == 0 || r.broken, alone) {
			p.broken = i == 0 && r.broken || i > 0 && r.crowd
			line.put(p)
		}
	}
	return line
}

// put adds a point.
func (l *Line) put(p point) {
	if p.broken && len(l.Tick) > 0 {
		l.Breaks = append(l.Breaks, len(l.Tick))
	}
	l.Tick, l.Value = append(l.Tick, p.tick), append(l.Value, p.value)
}

// points returns what is kept of a run, in the order of time, each once. The ends
// are kept where a line begins or ends with them.
func (r *run) points(into []point, begins, ends bool) []point {
	into = append(into, r.low, r.high)
	if begins && !r.crowd {
		into = append(into, r.first)
	}
	if ends && !r.crowd {
		into = append(into, r.last)
	}
	slices.SortStableFunc(into, func(a, b point) int {
		return cmp.Or(cmp.Compare(a.tick, b.tick), cmp.Compare(a.value, b.value))
	})
	return slices.Compact(into)
}
