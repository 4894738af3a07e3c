package finding

import (
	"math"

	"arctally/acquire/quantity"
)

// deviation is a channel out of its limits.
type deviation struct {
	start, end reading // where it began; where it was over
	worst      float64
	limit      float64
	out        int64 // ns for which the mean was out
}

// monitor holds the mean of one channel over a sliding window against limits.
//
// The mean lags behind the channel by up to a window, so a crossing only says
// that something changed; where it changed is found from the readings
// themselves (see change).
type monitor struct {
	rule   Rule
	limits limits
	dwell  int64 // ns

	recent window
	side   float64 // sign of the deviation that is open; 0 is none
	paused bool    // the arc went out while it was open
	inside int64   // ns for which the mean has been back inside
	deviation
	report func(deviation)
}

// add takes the next reading of the arc interval.
func (m *monitor) add(s reading) {
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
	case m.side == 0:
		m.begin(s, mean, beyond)
	case math.Signbit(beyond) != math.Signbit(m.side):
		m.close()
		m.begin(s, mean, beyond)
	default:
		m.goOn(s, mean, beyond)
	}
}

// begin opens a deviation. One that is there as soon as the window is full has
// been there since the arc was struck.
func (m *monitor) begin(s reading, mean, beyond float64) {
	at, out := m.recent.kept()[0], s.end-m.recent.since
	if s.end-m.recent.since > m.recent.length+s.end-s.start {
		at, out = m.change(), s.end-s.start
	}
	m.side, m.paused, m.inside = beyond, false, 0
	m.deviation = deviation{start: at, end: s, worst: mean, limit: mean - beyond, out: out}
}

// goOn takes a reading that is still out.
func (m *monitor) goOn(s reading, mean, beyond float64) {
	m.paused, m.inside = false, 0
	m.deviation.out += s.end - s.start
	m.deviation.end = s
	if beyond*m.side > (m.deviation.worst-m.deviation.limit)*m.side {
		m.deviation.worst = mean
	}
}

// back takes a reading with the mean inside. The deviation is over when that
// has lasted for a window, so that a mean that only brushes the limit is one.
func (m *monitor) back(s reading) {
	if m.side == 0 {
		return
	}
	if m.paused {
		m.close()
		return
	}
	if m.inside == 0 {
		m.deviation.end = m.change()
	}
	m.inside += s.end - s.start
	if m.inside >= m.recent.length {
		m.close()
	}
}

// rest says that the arc is out. A deviation that is open goes on if the next
// arc interval of the pass begins with it.
func (m *monitor) rest(at reading) {
	m.recent.clear()
	if m.side != 0 && m.inside == 0 && !m.paused {
		m.deviation.end, m.paused = at, true
	}
}

// close ends the deviation and reports it if it lasted.
func (m *monitor) close() {
	if m.side != 0 && m.deviation.out >= m.dwell {
		m.report(m.deviation)
	}
	m.side, m.paused, m.inside = 0, false, 0
}

// end says that the pass is complete.
func (m *monitor) end() {
	m.close()
	m.recent.clear()
}

// change returns the first reading after the change that the deviation is.
func (m *monitor) change() reading {
	kept := m.recent.kept()
	return kept[change(kept)]
}

// now returns the mean as it stands.
func (m *monitor) now() Mean {
	if len(m.recent.items) == 0 {
		return Mean{}
	}
	inner := m.recent.items[m.recent.inner:]
	n := Mean{Value: m.recent.sum / m.recent.weight, Low: inner[0].mean, High: inner[0].mean, Known: true}
	for k := range inner {
		n.Low, n.High = min(n.Low, inner[k].mean), max(n.High, inner[k].mean)
	}
	_, n.Full = m.recent.mean()
	return n
}
