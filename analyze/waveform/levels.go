package waveform

import "math"

// The voltage is counted in bins of a quarter of a volt; the last takes what is
// above.
const (
	bins        = 256
	binsPerVolt = 4
)

// binOf returns the bin of a voltage.
func binOf(v float64) int {
	b := int(v * binsPerVolt)
	if uint(b) < bins {
		return b
	}
	if b < 0 {
		return 0
	}
	return bins - 1
}

// How the levels are found. Ours, no source.
const (
	firstLook   = 100_000_000   // ns of arc after which levels are first looked for
	memory      = 8_000_000_000 // ns of arc after which what was seen counts half
	leastShare  = 0.003         // of samples in the short for it to be a level
	leastRise   = 3.0           // V from short to arc
	leastRatio  = 1.3           // of the arc's level to that of the short: two kinds of arc differ less
	enterShare  = 0.4           // of the rise, below which a short begins
	leaveShare  = 0.6           // and above which it ends
	valleyShare = 0.5           // samples between the levels over samples about the lower one, at most
)

// levels follows the two levels of the voltage.
//
// They are the means of the two classes into which the threshold k divides the
// counted voltages with the greatest variance between them,
//
//	s(k) = w1*w2*(m1-m2)^2
//
// with the shares w and the means m, in V, of the two. Source of the criterion:
// Otsu 1979; standing: memory, checked against constructed signals. A signal of
// one level is divided too, in its middle; so the two only count where few
// voltages lie between them. Levels once known stay until others are seen: an
// arc that no longer shorts is news.
type levels struct {
	volts        [bins]uint64
	time         int64
	known        bool
	low, high    float64
	enter, leave float64
}

func newLevels() levels { return levels{leave: math.Inf(1)} }

// learn takes in a window, and looks for the levels anew.
func (l *levels) learn(w *aggregate) {
	for k, n := range w.volts {
		l.volts[k] += uint64(n)
	}
	l.time += w.time
	if l.time >= firstLook {
		l.find()
	}
	if l.time > memory {
		for k := range l.volts {
			l.volts[k] /= 2
		}
		l.time /= 2
	}
}

// look looks at a window that is not complete, without taking it in.
func (l *levels) look(w *aggregate) {
	glimpse := *l
	glimpse.learn(w)
	if glimpse.known {
		l.known, l.low, l.high, l.enter, l.leave = true, glimpse.low, glimpse.high, glimpse.enter, glimpse.leave
	}
}

// find sets the levels if there are two.
func (l *levels) find() {
	low, high, share := l.divide()
	if share < leastShare || high-low < leastRise || high < leastRatio*low || !l.apart(low, high) {
		return
	}
	l.known, l.low, l.high = true, low, high
	l.enter, l.leave = low+enterShare*(high-low), low+leaveShare*(high-low)
}

// divide returns the means of the two classes, and the share of the lower one.
func (l *levels) divide() (low, high, share float64) {
	n, sum := 0.0, 0.0
	for k, c := range l.volts {
		n += float64(c)
		sum += float64(c) * middle(k)
	}
	best, below, weight := 0.0, 0.0, 0.0
	for k, c := range l.volts {
		below += float64(c)
		weight += float64(c) * middle(k)
		if below == 0 || below == n {
			continue
		}
		m1, m2 := weight/below, (sum-weight)/(n-below)
		if s := below * (n - below) * (m1 - m2) * (m1 - m2); s > best {
			best, low, high, share = s, m1, m2, below/n
		}
	}
	return low, high, share
}

// middle returns the middle of a bin in V.
func middle(k int) float64 { return (float64(k) + 0.5) / binsPerVolt }

// apart reports whether few voltages lie half way between the levels.
func (l *levels) apart(low, high float64) bool {
	half := (high - low) / 10
	between := l.about((low+high)/2, half)
	return between <= valleyShare*l.about(low, half)
}

// about counts the voltages within half of a centre.
func (l *levels) about(centre, half float64) float64 {
	n := uint64(0)
	for _, c := range l.volts[binOf(centre-half) : binOf(centre+half)+1] {
		n += c
	}
	return float64(n)
}
