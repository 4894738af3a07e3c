package capture

// levels tells a wave of few exact values from a display that is slow: a wave stays at
// each of its levels for as long as at the same one the time before, and comes back.
// Fresh readings of few values would repeat some of them.
type levels struct {
	of    [mostLevels]level
	n     int
	other int64 // standstills at further values
}

// level is one pair of voltage and current, and how long values stood at it.
type level struct {
	v, i   float64
	length histogram // ns
}

const (
	mostLevels  = 4
	alikeShare  = 0.9 // of the standstills at a level are as long as one another
	rareLevel   = 0.03
	enoughWaves = 20
)

// add takes a standstill that has ended; whole says that it was seen to begin, in arc.
func (l *levels) add(v, i float64, length int64, whole bool) {
	if !whole || length <= 0 {
		return
	}
	for k := range l.of[:l.n] {
		if l.of[k].v == v && l.of[k].i == i {
			l.of[k].length.add(length)
			return
		}
	}
	if l.n == mostLevels {
		l.other++
		return
	}
	l.of[l.n] = level{v: v, i: i}
	l.of[l.n].length.add(length)
	l.n++
}

// ofWave reports whether the values are those of a wave.
func (l *levels) ofWave() bool {
	all := l.other
	for k := range l.of[:l.n] {
		all += l.of[k].length.n
	}
	if all < enoughWaves || float64(l.other) > rareLevel*float64(all) {
		return false
	}
	for k := range l.of[:l.n] {
		h := &l.of[k].length
		usual := h.quantile(halfRuns)
		alike, _ := h.between(narrow*usual, wide*usual)
		if float64(h.n) > rareLevel*float64(all) && float64(alike) < alikeShare*float64(h.n) {
			return false
		}
	}
	return true
}
