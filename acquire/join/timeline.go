package join

import (
	"math"
	"sort"
	"time"

	"arctally/acquire/clock"
)

// settling is how long after the first fit of an epoch the fits are too short to go by.
// Ours: a stall of 0.8 s and 20 half seconds (package clock).
const settling = int64(10 * time.Second)

// place is a tick on the clock of box 0.
type place struct {
	epoch int
	tick  int64
}

func (p place) before(q place) bool {
	return p.epoch < q.epoch || p.epoch == q.epoch && p.tick < q.tick
}

func later(p, q place) place {
	if p.before(q) {
		return q
	}
	return p
}

func sooner(p, q place) place {
	if q.before(p) {
		return q
	}
	return p
}

// The ends of all places.
var (
	nowhere = place{math.MinInt, math.MinInt64}
	theEnd  = place{math.MaxInt, math.MaxInt64}
)

// answer says whether a map is known.
type answer uint8

const (
	wait  answer = iota // a fit that is still to come may be the one
	known               // it is this one, whatever comes
	never               // there is no fit to go by
)

// mark is a fit in whole numbers, as a record keeps it: the same live and read.
type mark struct {
	tick, wall       int64
	slope            float64
	topTick, topWall int64 // the highest of it and those before it
}

func (m *mark) host(tick int64) int64 {
	return m.wall + int64(float64(tick-m.tick)*m.slope)
}

func (m *mark) own(host int64) int64 {
	return m.tick + int64(float64(host-m.wall)/m.slope)
}

// span is an epoch with its fits.
type span struct {
	epoch int
	marks []mark
}

// timeline is the fits of one box, epoch by epoch.
type timeline struct {
	spans    []span
	newest   int64 // the latest host time of all
	complete bool  // no fit comes any more
}

// add takes a fit; one without a host time says nothing.
func (l *timeline) add(f clock.Fit) {
	if f.Wall.IsZero() || !(f.Slope > 0) {
		return
	}
	m := mark{tick: f.Tick, wall: f.Wall.UnixNano(), slope: f.Slope}
	s := l.of(f.Epoch)
	if s == nil {
		l.spans = append(l.spans, span{epoch: f.Epoch})
		s = &l.spans[len(l.spans)-1]
	}
	m.topTick, m.topWall = m.tick, m.wall
	if n := len(s.marks); n > 0 {
		m.topTick, m.topWall = max(m.tick, s.marks[n-1].topTick), max(m.wall, s.marks[n-1].topWall)
	}
	if len(l.spans) == 1 && len(s.marks) == 0 || m.wall > l.newest {
		l.newest = m.wall
	}
	s.marks = append(s.marks, m)
}

// of is the span of an epoch, nil where it has no fit.
func (l *timeline) of(epoch int) *span {
	for k := len(l.spans) - 1; k >= 0; k-- {
		if l.spans[k].epoch == epoch {
			return &l.spans[k]
		}
	}
	return nil
}

// over reports whether no fit comes any more that belongs to a span.
func (l *timeline) over(s *span) bool { return l.complete || s != &l.spans[len(l.spans)-1] }

// host is the host time of a tick of an epoch, in Unix ns; in haste by the fits that
// there are.
func (l *timeline) host(epoch int, tick int64, haste bool) (host int64, a answer) {
	s := l.of(epoch)
	if s == nil {
		if l.complete || len(l.spans) > 0 && l.spans[len(l.spans)-1].epoch > epoch {
			return 0, never
		}
		return 0, wait
	}
	from := max(tick, s.marks[0].tick+settling)
	k := sort.Search(len(s.marks), func(k int) bool { return s.marks[k].topTick >= from })
	if k == len(s.marks) {
		if !l.over(s) && !haste {
			return 0, wait
		}
		k--
	}
	return s.marks[k].host(tick), known
}

// place is the place of a host time on the clock of this box; in haste by the fits that
// there are.
func (l *timeline) place(host int64, haste bool) (p place, a answer) {
	switch {
	case len(l.spans) == 0 && l.complete:
		return p, never
	case len(l.spans) == 0 || !l.complete && !haste && l.newest < host:
		return p, wait
	}
	n := 0
	for n+1 < len(l.spans) && l.spans[n+1].marks[0].wall <= host {
		n++
	}
	s := &l.spans[n]
	from := max(host, s.marks[0].wall+settling)
	k := sort.Search(len(s.marks), func(k int) bool { return s.marks[k].topWall >= from })
	if k == len(s.marks) {
		if !l.over(s) && !haste {
			return p, wait
		}
		k--
	}
	return place{s.epoch, s.marks[k].own(host)}, known
}
