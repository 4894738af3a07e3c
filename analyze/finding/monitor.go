package finding

import "arctally/acquire/quantity"

// stretch is a short piece of arc time and the mean of a channel over it.
type stretch struct {
	start, end int64   // ticks
	weight     float64 // ns of arc time
	mean       float64
	turns      float64 // at start
}

// deviation is a channel out of its limits.
type deviation struct {
	start, end stretch // where it began; where it was over
	worst      float64
	limit      float64
	out        int64 // ns for which the mean was out
}

// monitor holds the mean of one channel over a sliding window against limits.
//
// The mean lags behind the channel by up to a window, so a crossing only says
// that something changed; where it changed is found from the stretches
// themselves (see change).
type monitor struct {
	limits quantity.Range[quantity.Ratio] // of the channel, in its SI unit
	dwell  int64                          // ns

	recent slide
	side   float64 // sign of the deviation that is open; 0 is none
	paused bool    // the arc went out while it was open
	inside int64   // ns for which the mean has been back inside
	open   deviation
	report func(deviation)
}

// add takes the next stretch of the arc interval.
func (m *monitor) add(s stretch) {
	if m.recent.length <= 0 {
		return
	}
	m.recent.push(s) // also without limits: people see the mean
	if m.limits.IsZero() {
		return
	}
	mean, full := m.recent.mean()
	if !full {
		return
	}
	beyond := float64(m.limits.Beyond(quantity.Ratio(mean)))
	switch {
	case beyond == 0:
		m.back(s)
	case m.side != 0 && beyond*m.side < 0:
		m.close()
		m.begin(s, mean, beyond)
	case m.side == 0:
		m.begin(s, mean, beyond)
	default:
		m.goOn(s, mean, beyond)
	}
}

// begin opens a deviation. One that is there as soon as the window is full has
// been there since the arc was struck.
func (m *monitor) begin(s stretch, mean, beyond float64) {
	at, out := m.recent.kept()[0], s.end-m.recent.since
	if s.end-m.recent.since > m.recent.length+s.end-s.start {
		at, out = m.change(), s.end-s.start
	}
	m.side, m.paused, m.inside = beyond, false, 0
	m.open = deviation{start: at, end: s, worst: mean, limit: mean - beyond, out: out}
}

// goOn takes a stretch that is still out.
func (m *monitor) goOn(s stretch, mean, beyond float64) {
	m.paused, m.inside = false, 0
	m.open.out += s.end - s.start
	m.open.end = s
	if beyond*m.side > (m.open.worst-m.open.limit)*m.side {
		m.open.worst = mean
	}
}

// back takes a stretch with the mean inside. The deviation is over when that
// has lasted for a window, so that a mean that only brushes the limit is one.
func (m *monitor) back(s stretch) {
	if m.side == 0 {
		return
	}
	if m.paused {
		m.close()
		return
	}
	if m.inside == 0 {
		m.open.end = m.change()
	}
	m.inside += s.end - s.start
	if m.inside >= m.recent.length {
		m.close()
	}
}

// rest says that the arc is out. A deviation that is open goes on if the next
// arc interval of the pass begins with it.
func (m *monitor) rest(at stretch) {
	m.recent.clear()
	if m.side != 0 && m.inside == 0 && !m.paused {
		m.open.end, m.paused = at, true
	}
}

// close ends the deviation and reports it if it lasted.
func (m *monitor) close() {
	if m.side != 0 && m.open.out >= m.dwell {
		m.report(m.open)
	}
	m.side, m.paused, m.inside = 0, false, 0
}

// end says that the pass is complete.
func (m *monitor) end() {
	m.close()
	m.recent.clear()
}

// change returns the first stretch after the change that the deviation is.
func (m *monitor) change() stretch {
	kept := m.recent.kept()
	return kept[change(kept)]
}

// change returns the index of the first stretch after the one step that
// explains the most: the split of x into two means with the least sum of
// squares about them, which is the one with the greatest
//
//	w1*w2/(w1+w2) * (mean1-mean2)^2
//
// with the weights w on either side. Source: binary segmentation, Scott and
// Knott 1974; standing: memory, checked against a constructed step.
func change(x []stretch) int {
	total, weight := 0.0, 0.0
	for _, s := range x {
		total += s.mean * s.weight
		weight += s.weight
	}
	best, at := 0.0, 0
	sum, w := 0.0, 0.0
	for k := 1; k < len(x); k++ {
		sum += x[k-1].mean * x[k-1].weight
		w += x[k-1].weight
		rest := weight - w
		if w <= 0 || rest <= 0 {
			continue
		}
		d := sum/w - (total-sum)/rest
		if gain := w * rest / weight * d * d; gain > best {
			best, at = gain, k
		}
	}
	return at
}
