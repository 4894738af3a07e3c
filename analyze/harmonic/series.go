package harmonic

// Channels is how many signals a point carries.
const Channels = 4

// Point is a short stretch of a signal.
type Point struct {
	Start, End int64             // ticks, ns
	At         float64           // its middle, ns, by weight
	Turns      float64           // the same in turns
	Weight     float64           // ns of arc in it
	Mean       [Channels]float64 // over that time
}

// Series keeps a signal of any length in bounded memory. Points that follow one
// another are joined into stretches of a grain; when there are too many, the
// grain doubles. It depends on the points alone, not on when they come.
//
// An arc that was just struck, and one that is about to go out, say nothing about
// the turn: what comes within settling of a strike, and within ending of a rest, is
// left out.
type Series struct {
	points       []Point
	first, grain int64
	limit        int
	struck       int64
	waiting      []Point // may be too near to the end of the arc
}

// How long the arc takes to settle, and to go out. Ours; common practice, no
// source.
const (
	settling = 1_000_000_000 // ns
	ending   = 100_000_000   // ns
)

// NewSeries returns a series that begins with a grain in ns and holds no more
// than limit points.
func NewSeries(grain int64, limit int) Series {
	return Series{first: grain, grain: grain, limit: limit}
}

// Reset empties the series.
func (s *Series) Reset() { s.points, s.waiting, s.grain = s.points[:0], s.waiting[:0], s.first }

// Strike says that the arc has been struck.
func (s *Series) Strike(tick int64) { s.struck, s.waiting = tick, s.waiting[:0] }

// Rest says that the arc is out.
func (s *Series) Rest() { s.waiting = s.waiting[:0] }

// Points returns what is kept, in the order of time; the series keeps the slice.
func (s *Series) Points() []Point { return s.points }

// Add takes the next stretch of an arc.
func (s *Series) Add(p Point) {
	if p.Weight <= 0 || p.Start-s.struck < settling {
		return
	}
	ready := 0
	for ready < len(s.waiting) && p.Start-s.waiting[ready].End >= ending {
		s.keep(s.waiting[ready])
		ready++
	}
	s.waiting = append(s.waiting[:copy(s.waiting, s.waiting[ready:])], p)
}

func (s *Series) keep(p Point) {
	if n := len(s.points); n > 0 && s.joins(&s.points[n-1], &p) {
		s.points[n-1].join(&p)
		return
	}
	s.points = append(s.points, p)
	for len(s.points) > s.limit {
		s.coarsen()
	}
}

// joins reports whether two stretches are no longer than a grain together.
func (s *Series) joins(a, b *Point) bool { return b.End-a.Start <= s.grain && b.Start >= a.End }

func (s *Series) coarsen() {
	s.grain *= 2
	kept := s.points[:1]
	for k := 1; k < len(s.points); k++ {
		if last := &kept[len(kept)-1]; s.joins(last, &s.points[k]) {
			last.join(&s.points[k])
		} else {
			kept = append(kept, s.points[k])
		}
	}
	s.points = kept
}

func (p *Point) join(next *Point) {
	whole := p.Weight + next.Weight
	share := next.Weight / whole
	p.At += (next.At - p.At) * share
	p.Turns += (next.Turns - p.Turns) * share
	for c := range p.Mean {
		p.Mean[c] += (next.Mean[c] - p.Mean[c]) * share
	}
	p.Weight, p.End = whole, next.End
}
