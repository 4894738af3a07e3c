package arc

import "math"

// idleLength is the grain, in ns, at which it is told what a source shows while no arc
// burns: short against what anybody could do about it.
const idleLength = 100_000_000

// Idle is what voltage and current came to over a short time without an arc.
type Idle struct {
	From, Tick int64   // ticks
	V, I       float64 // means, in V and A
	Wire       float64 // m/s, as a window counted it; 0 where none does
}

// idle sums up the steps without an arc.
type idle struct {
	tell      func(Idle) // nil where nobody listens
	from, end int64      // of what is summed up: begun at, told at
	time      int64      // ns; 0 is nothing
	v, i      float64    // V*ns, A*ns
}

// WhileOut has somebody told, ten times a second, what the source shows while no arc
// burns. It must be called before the first sample, if at all.
func (d *Detector) WhileOut(tell func(Idle)) { d.idle.tell = tell }

// add takes a step that is not in arc.
func (t *idle) add(s *Sample, dt int64) {
	if t.tell == nil || dt <= 0 {
		return
	}
	if t.time == 0 {
		t.from = s.Tick - dt
		t.end = (t.from/idleLength + 1) * idleLength
	}
	ns := float64(dt)
	t.v, t.i, t.time = t.v+float64(s.V*ns), t.i+float64(s.I*ns), t.time+dt
	if s.Tick >= t.end {
		told := Idle{From: t.from, Tick: s.Tick, V: t.v / float64(t.time), I: t.i / float64(t.time)}
		t.restart()
		t.tell(told)
	}
}

// restart forgets what is summed up: the next step follows none, or begins another time.
func (t *idle) restart() { t.time, t.v, t.i = 0, 0, 0 }

// until returns the tick up to which steps are only summed up; before any if the next
// one begins a time.
func (t *idle) until() int64 {
	switch {
	case t.tell == nil:
		return math.MaxInt64
	case t.time == 0:
		return math.MinInt64
	default:
		return t.end - 1
	}
}

// window tells what a window without arc has shown.
func (t *idle) window(w Window) {
	if length := float64(w.End - w.Start); t.tell != nil && length > 0 {
		t.tell(Idle{From: w.Start, Tick: w.End, V: w.V, I: w.I, Wire: w.Wire / length * 1e9})
	}
}
