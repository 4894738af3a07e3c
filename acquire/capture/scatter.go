package capture

import "math"

// lookEvery is the time in ns from one look to the next: long against what the
// bandwidth of a meter ties together, and against the cycle of a dipping arc.
const lookEvery = 20e6

// looks compares the values of an arc with those that stood there a look before.
type looks struct {
	volts, amperes scatter
	began          bool
	tick           int64
	v, i           float64
}

func (l *looks) lose() { l.began = false }

// see takes a row in arc.
func (l *looks) see(tick int64, v, i float64) {
	if l.began && float64(tick-l.tick) < lookEvery {
		return
	}
	if l.began && (v != l.v || i != l.i) { // else the display may not be refreshed yet
		l.volts.add(math.Abs(v - l.v))
		l.amperes.add(math.Abs(i - l.i))
	}
	l.began, l.tick, l.v, l.i = true, tick, v, i
}

// scatter gathers by how much a channel moves from look to look.
type scatter struct {
	moves histogram // in parts
	stood int64     // looks at which only the other channel had moved
}

// parts of a unit keep every digit that a capture may sensibly have.
const parts = 1e6

func (s *scatter) add(move float64) {
	if n := int64(math.Round(min(move*parts, math.MaxInt64/2))); n > 0 {
		s.moves.add(n)
	} else {
		s.stood++
	}
}

// Of the moves the smallest few show the step of the display, whatever stray digits
// there are; the largest few are the ends of an arc.
const (
	leastMoves = 0.05
	mostMoves  = 0.95
)

// steps returns the scatter of a channel, in steps of its display: with moves x
//
//	sigma = sqrt( mean(x^2) / 2 ) / step
//
// It is about 0.7 at most where values only go to and fro between two neighbours, and
// 0 where nothing moves.
func (s *scatter) steps() float64 {
	step := s.moves.quantile(leastMoves)
	if step == 0 {
		return 0
	}
	need := int64(math.Ceil(mostMoves * float64(s.moves.n+s.stood)))
	n, sum := s.stood, 0.0
	for b, count := range s.moves.count {
		if count = min(count, need-n); count <= 0 {
			continue
		}
		mean := s.moves.sum[b] / float64(s.moves.count[b])
		n, sum = n+count, sum+float64(count)*mean*mean
	}
	return math.Sqrt(sum/float64(max(n, 1))/2) / step
}

// coarse is the scatter in steps below which a channel may stand still for as long as
// it likes: what goes to and fro between two neighbours here may lie in the middle
// of one step there.
const coarse = 0.75

// wanders is by how much less than on average an arc may scatter at times. Ours, no
// source.
const wanders = 2

// repeats returns the largest chance that a look repeats the value before it, where
// that has a scatter of so many steps. It is largest in the middle of a step: with
// the normal distribution F
//
//	p = sum( (F((j+1/2)/sigma) - F((j-1/2)/sigma))^2 )
func repeats(steps float64) float64 {
	if steps < coarse {
		return 1
	}
	sigma, p := steps/wanders, 0.0
	if sigma > farSteps {
		return 1 / (2 * math.Sqrt(math.Pi) * sigma) // the same, where the sum is an integral
	}
	for j := range int(8*sigma) + 2 {
		part := (math.Erf((float64(j)+0.5)/sigma/math.Sqrt2) - math.Erf((float64(j)-0.5)/sigma/math.Sqrt2)) / 2
		if p += part * part; j > 0 {
			p += part * part
		}
	}
	return p
}

const farSteps = 20

// proved takes what is longer than chance for what it is: held, where no arc that
// scatters like this one stands still for so long, else for what may be, as at the end
// of what the converter shows. With n
// standstills, looks of r ns and the chance p that one repeats both values, the
// smallest k is asked for with
//
//	n * p^k < expectedFalse
func (m *measure) proved(s still, r float64) still {
	if s.heldAfter == 0 {
		return s
	}
	p := repeats(m.looks.volts.steps()) * repeats(m.looks.amperes.steps())
	k := math.Ceil(math.Log(max(float64(m.both.runs.n), 1)/expectedFalse) / -math.Log(p))
	switch at := int64(math.Round((k + 0.5) * r)); {
	case p >= 1 || k > mostMultiples || m.stops.longest() >= s.heldAfter:
		s.heldAfter, s.mayBeAfter = 0, s.heldAfter
		if m.showsEnds(s.mayBeAfter) {
			s.mayBeAfter = 0
		}
	case at > s.heldAfter:
		s.heldAfter, s.mayBeAfter = at, s.heldAfter
	}
	return s
}

// showsEnds reports whether the source is seen to show an arc that goes out as it goes
// out, more often than standstills are longer than chance: such a source holds none.
func (m *measure) showsEnds(chance int64) bool {
	late, _ := m.ends.between(float64(chance), forever)
	long, _ := m.both.runs.between(float64(chance), forever)
	return late == 0 && m.ends.n > long
}

// look takes a row, and whether the one before it was in arc.
func (m *measure) look(tick int64, v, i float64, wasArc bool) {
	isArc := math.Abs(i*m.iFactor) > arcLike
	if !wasArc || !isArc {
		m.looks.lose()
	} else {
		m.looks.see(tick, v, i)
	}
	if wasArc && !isArc && m.both.seen {
		m.ends.add(max(tick-m.both.from, 1))
	}
	if v != m.lastV || i != m.lastI {
		m.stops.add(m.lastV, m.lastI, tick-m.both.from)
		m.levels.add(m.lastV, m.lastI, tick-m.both.from, wasArc && m.both.seen && m.both.inArc)
	}
}
