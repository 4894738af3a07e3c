package capture

// standstill follows the rows for which values stay the same, and counts how
// long they do so in an arc.
type standstill struct {
	runs histogram // ns from one change to the next
	rows histogram // the same in rows that bring time forward
	long longRuns

	seen    bool // it was seen to begin
	inArc   bool // throughout
	from    int64
	count   int64
	longest int64 // step within, ns
}

// manyRows are enough to tell a gap in a standstill from its usual step.
const manyRows = 4

// step takes the row at a tick that brings time forward by d: whether values
// are the same as in the row before, and whether that row was in arc. Steps
// beyond known may hide a change.
func (s *standstill) step(tick, d int64, same, arc bool, known float64) {
	s.inArc = s.inArc && arc
	s.longest = max(s.longest, d)
	if same {
		s.count++
		return
	}
	if s.seen && s.inArc && s.continuous(tick-s.from, known) {
		if float64(tick-s.from) > shorter*s.runs.quantile(halfRuns) {
			s.long.add(tick - s.from)
		}
		s.runs.add(tick - s.from)
		s.rows.add(s.count)
	}
	s.seen, s.inArc, s.from, s.count, s.longest = float64(d) <= known, true, tick, 1, 0
}

func (s *standstill) continuous(length int64, known float64) bool {
	if s.count >= manyRows {
		return s.longest <= length/2
	}
	return float64(s.longest) <= known
}

// lose forgets the standstill under way: what comes next is not its
// continuation.
func (s *standstill) lose() { s.seen = false }
