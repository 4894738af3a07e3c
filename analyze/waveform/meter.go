package waveform

import "math"

// afterShort is how long, in ns, the voltage is followed after a short for its
// re-ignition peak.
const afterShort = 300_000

// longestCycle is the longest arc or cycle, in ns, that counts as one. A longer
// one is an arc that has stopped shorting, and would hide all others in a spread.
// Ours, no source: the slowest rate of shorts that is told of is 20 a second
// (check value WD-23).
const longestCycle = 250_000_000

// phase is where in its cycle the arc is.
type phase uint8

const (
	unknown phase = iota
	burning
	shorted
	background // of a pulsed arc, and its pulse
	peaking
)

// Meter runs over the samples of an arc one by one.
type Meter struct {
	levels levels
	stubs  stubs
	edges  edges     // known while the arc is taken for a pulsed one
	window aggregate // since the last Take
	total  aggregate // of the pass, up to there
	next   int64     // ns of the window at which a first look is due
	slow   slowMean

	phase   phase
	seen    bool  // the present phase began before our eyes
	age     int64 // ns in this phase
	pulse   pulse
	arcAge  int64 // of the arc before a short, 0 where it was not seen
	cycle   int64 // ns since the last transfer began; 0 is none yet
	touched float64
	peak    float64
	peakAge int64
	last    float64 // current of the sample before, in a short
	spark   float64 // highest voltage since the last transfer ended
	sparked bool    // it is still being followed
}

// NewMeter returns a meter that knows nothing yet.
func NewMeter() *Meter {
	m := &Meter{levels: newLevels(), stubs: newStubs(), next: firstLook, slow: slowMean{end: slowStep}}
	m.Break()
	return m
}

// Step takes a sample that followed the one before it, both in arc, by dt in ns.
func (m *Meter) Step(v, i float64, dt int64) {
	if dt > slowest {
		m.Break()
		return
	}
	w := &m.window
	w.volts[binOf(v)]++
	w.samples++
	w.time += dt
	charge := float64(i * float64(dt)) // these keep products from being fused into sums here and not in Run
	w.charge += charge
	w.square += float64(i * charge)
	w.area += float64(v * float64(dt))
	w.power += float64(v * charge)
	if m.age += dt; w.time >= m.slow.end {
		m.slow.take(w)
	}
	switch m.phase {
	case burning:
		w.known += dt
		if m.sparked {
			m.follow(v)
		}
		if m.cycle > 0 {
			m.cycle += dt
		}
		if v < m.levels.enter {
			m.touch(i)
		}
	case shorted:
		w.known += dt
		w.short += dt
		if m.cycle > 0 {
			m.cycle += dt
		}
		if i > m.peak {
			m.peak, m.peakAge = i, m.age
		}
		if v > m.levels.leave {
			m.clear(v)
		}
		m.last = i
	case background:
		m.stepBackground(v, i, dt)
	case peaking:
		m.stepPeak(v, i, dt)
	default:
		m.await(v, i)
	}
}

// await waits until the arc is seen burning, or between two pulses; where nothing is
// known yet, it looks what kind of arc this is.
func (m *Meter) await(v, i float64) {
	w := &m.window
	if !m.levels.known && !m.edges.known && w.time >= m.next {
		m.next += firstLook
		if w.told(&m.levels) == Pulsed {
			m.edges.of(w)
		} else {
			m.levels.look(w)
		}
	}
	switch {
	case m.edges.known && i < m.edges.end:
		m.phase, m.age, m.seen = background, 0, false
		m.pulse = pulse{extreme: i, volts: total{1, v}}
	case !m.edges.known && v > m.levels.leave:
		m.phase, m.age, m.seen = burning, 0, false
	}
}

// touch is told that the wire meets the pool.
func (m *Meter) touch(i float64) {
	if m.sparked {
		m.endSpark()
	}
	m.arcAge = 0
	if m.seen {
		m.arcAge = m.age
	}
	m.phase, m.seen = shorted, true
	m.age, m.touched, m.peak, m.peakAge, m.last = 0, i, i, 0, i
}

// clear is told that the arc burns again.
func (m *Meter) clear(v float64) {
	w := &m.window
	if m.age < leastShort { // the arc has gone on
		w.short -= m.age
		m.phase, m.seen, m.age = burning, m.arcAge > 0, m.arcAge+m.age
		return
	}
	if m.arcAge > 0 && m.arcAge <= longestCycle {
		w.arcs.add(float64(m.arcAge))
	}
	w.lasted.add(float64(m.age))
	if m.age > transferTime {
		m.transfer()
		w.gains.add(m.last - m.touched)
		w.lengths[lengthBin(m.age)]++
		m.spark, m.sparked = v, true
	}
	if m.age > m.stubs.limit {
		w.stubs++
	}
	m.phase, m.seen, m.age = burning, true, 0
}

// transfer adds a short of more than a millisecond that is over.
func (m *Meter) transfer() {
	w := &m.window
	w.transfers++
	if t := m.cycle - m.age; m.cycle > 0 && t <= longestCycle {
		w.cycles.add(float64(t))
	}
	m.cycle = m.age
	w.peaks.add(m.peak)
	if m.peakAge > 0 {
		w.rises.add((m.peak - m.touched) / float64(m.peakAge) * 1e9)
	}
}

// follow keeps the highest voltage after a transfer.
func (m *Meter) follow(v float64) {
	m.spark = math.Max(m.spark, v)
	if m.age >= afterShort {
		m.endSpark()
	}
}

func (m *Meter) endSpark() {
	m.window.sparks.add(m.spark)
	m.sparked = false
}

// Break says that the next sample does not follow the last.
func (m *Meter) Break() {
	m.phase, m.seen, m.sparked, m.age, m.cycle = unknown, false, false, 0, 0
	m.slow.last = 0
}

// Take returns the statistics of the time since it was last called, nil where
// nothing could be told for most of it.
func (m *Meter) Take() *Statistics {
	w := &m.window
	mode := w.told(&m.levels)
	s := m.statistics(w, mode)
	w.settle(mode)
	m.learn(mode)
	m.total.add(w, +1)
	*w, m.next = aggregate{}, firstLook
	m.slow = slowMean{end: slowStep, last: m.slow.last}
	return s
}

// learn has the next look rest on this one: its mode says what to watch for.
func (m *Meter) learn(mode Mode) {
	w := &m.window
	was := m.edges.known
	switch {
	case mode == Pulsed:
		m.edges.of(w)
	case w.time < leastTold:
	case mode == "":
		m.edges.known = false
	default:
		m.edges.known = false
		m.levels.learn(w)
		m.stubs.learn(w)
	}
	if m.edges.known != was {
		m.Break()
	}
}

// statistics returns what some arc time of a mode comes to.
func (m *Meter) statistics(t *aggregate, mode Mode) *Statistics {
	return t.statistics(&m.levels, mode, m.stubs.limit)
}

// Mark is what a meter had summed up at a moment.
type Mark struct{ total aggregate }

// Mark returns what the pass has summed up so far.
func (m *Meter) Mark() *Mark {
	mark := &Mark{m.total}
	mark.total.add(&m.window, +1)
	return mark
}

// EndPass returns the statistics of the pass, and begins the next one.
func (m *Meter) EndPass() *Statistics {
	m.Take()
	s := m.statistics(&m.total, m.total.mode(&m.levels))
	m.total = aggregate{}
	return s
}

// EndPassAt is EndPass for a pass that ended at a mark: what came after it
// belongs to the next one.
func (m *Meter) EndPassAt(mark *Mark) *Statistics {
	m.Take()
	m.total.add(&mark.total, -1)
	return m.statistics(&mark.total, mark.total.mode(&m.levels))
}
