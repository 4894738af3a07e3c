package waveform

import (
	"math"

	"arctally/acquire/quantity"
)

// edgeShare is how far above and below its mean the current must go for a pulse to
// begin and to end, in standard deviations: between two levels the mean lies at least
// 0.3 of them from either, as long as a pulse takes from 8 % to 92 % of its cycle,
//
//	(high - mean)/s = sqrt((1 - d)/d)      (mean - low)/s = sqrt(d/(1 - d))
//
// with the share d of the pulse. Ours: plain arithmetic of two levels.
const edgeShare = 0.2

// edges are the currents, in A, at which a pulse begins and ends.
type edges struct {
	known      bool
	begin, end float64
}

// of sets the edges by some arc time.
func (e *edges) of(t *aggregate) {
	mean := t.charge / float64(t.time)
	s := math.Sqrt(max(0, t.square/float64(t.time)-mean*mean))
	e.known, e.begin, e.end = true, mean+edgeShare*s, mean-edgeShare*s
}

// pulse is the pulse, or the background, under way.
type pulse struct {
	extreme float64 // highest current of the pulse, lowest of the background
	volts   total
	begun   bool // a pulse has begun before our eyes, beat ns ago
	beat    int64
}

// pulses are what the pulses of some arc time come to; times are in ns.
type pulses struct {
	time, high      int64 // in which they could be told, and in the pulse
	inPulse, beside total // V
	peaks, bases    sums  // A
	beats           sums  // ns from pulse to pulse
	plateaus        sums  // V, mean of each pulse
}

func (p *pulses) add(o *pulses, sign int) {
	s := int64(sign)
	p.time += s * o.time
	p.high += s * o.high
	p.inPulse.join(o.inPulse, float64(sign))
	p.beside.join(o.beside, float64(sign))
	p.peaks.join(o.peaks, float64(sign))
	p.bases.join(o.bases, float64(sign))
	p.beats.join(o.beats, float64(sign))
	p.plateaus.join(o.plateaus, float64(sign))
}

// stepPeak takes a sample in a pulse.
func (m *Meter) stepPeak(v, i float64, dt int64) {
	p, w := &m.pulse, &m.window.pulses
	w.time += dt
	w.high += dt
	p.beat += dt
	if i >= m.edges.end {
		p.extreme = max(p.extreme, i)
		p.volts.add(v)
		return
	}
	w.inPulse.join(p.volts, +1)
	if m.seen {
		w.peaks.add(p.extreme)
		w.plateaus.add(p.volts.mean())
	}
	m.phase, m.seen, m.age = background, true, 0
	p.extreme, p.volts = i, total{1, v}
}

// stepBackground takes a sample between two pulses.
func (m *Meter) stepBackground(v, i float64, dt int64) {
	p, w := &m.pulse, &m.window.pulses
	w.time += dt
	p.beat += dt
	if i <= m.edges.begin {
		p.extreme = min(p.extreme, i)
		p.volts.add(v)
		return
	}
	w.beside.join(p.volts, +1)
	if m.seen {
		w.bases.add(p.extreme)
	}
	if p.begun && p.beat <= longestCycle {
		w.beats.add(float64(p.beat))
	}
	m.phase, m.seen, m.age = peaking, true, 0
	*p = pulse{extreme: i, volts: total{1, v}, begun: true}
}

// fewestPulses is how many make a rate. Ours, no source.
const fewestPulses = 3

// tell sets what the pulses come to.
func (p *pulses) tell(s *Statistics) {
	s.Known = quantity.Seconds(float64(p.time) * 1e-9)
	if p.beats.n < fewestPulses {
		return
	}
	s.PulseRate = new(quantity.Hertz(1e9 / p.beats.mean()))
	s.PulseShare = new(quantity.Ratio(float64(p.high) / float64(p.time)))
	s.Peak, _ = meanOf[quantity.Amperes](p.peaks, 1)
	s.Background, _ = meanOf[quantity.Amperes](p.bases, 1)
	s.PeakVoltage = new(quantity.Volts(p.inPulse.mean()))
	s.BackgroundVoltage = new(quantity.Volts(p.beside.mean()))
	s.Unrest = new(quantity.Ratio(p.plateaus.spread() / p.plateaus.mean()))
}
