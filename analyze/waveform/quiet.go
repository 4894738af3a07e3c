package waveform

import "math"

// Sample is voltage and current at one tick, in V and A.
type Sample struct {
	Tick int64
	V, I float64
	Mark SampleMark
}

// SampleMark says what is special about a sample; package arc knows what. Nothing here
// asks for it: a sample has it so that samples need not be copied on their way here.
type SampleMark uint8

// Run takes samples that follow one another, and the one at a tick, all in arc: the same
// as Step of each of them, to the bit, but quicker.
func (m *Meter) Run(x []Sample, tick int64) {
	for len(x) > 0 {
		n := m.quiet(x, tick)
		if n == 0 {
			m.Step(x[0].V, x[0].I, x[0].Tick-tick)
			n = 1
		}
		tick, x = x[n-1].Tick, x[n:]
	}
}

// quiet takes the samples at the front of x in which a short, or the arc between two,
// goes on and nothing else is due, and returns how many those are. Only sums change in
// them, and those are kept at hand: nearly all samples of a dip arc come this way.
func (m *Meter) quiet(x []Sample, tick int64) int {
	low, high, peak, peakAt := math.Inf(-1), math.Inf(1), math.Inf(1), tick
	switch {
	case m.phase == burning && !m.sparked:
		low = m.levels.enter
	case m.phase == shorted:
		high, peak = m.levels.leave, m.peak
	default:
		return 0
	}
	w := &m.window
	charge, square, area, power := w.charge, w.square, w.area, w.power
	at, due, n := tick, tick+m.slow.end-w.time, 0
	for ; n < len(x); n++ {
		s := &x[n]
		dt := s.Tick - at
		if s.V < low || s.V > high || dt > slowest || s.Tick >= due {
			break
		}
		if s.I > peak {
			peak, peakAt = s.I, s.Tick
		}
		w.volts[binOf(s.V)]++
		ns := float64(dt)
		c := float64(s.I * ns)
		charge, square = charge+c, square+float64(s.I*c)
		area, power = area+float64(s.V*ns), power+float64(s.V*c)
		at = s.Tick
	}
	if n == 0 {
		return 0
	}
	w.charge, w.square, w.area, w.power = charge, square, area, power
	w.samples += int64(n)
	if m.phase == shorted {
		w.short += at - tick
		if m.last = x[n-1].I; peak > m.peak {
			m.peak, m.peakAge = peak, m.age+peakAt-tick
		}
	}
	m.goOn(at - tick)
	return n
}

// goOn has so many ns more in the present phase, in which all that happens is seen.
func (m *Meter) goOn(ns int64) {
	m.window.time += ns
	m.window.known += ns
	m.age += ns
	if m.cycle > 0 {
		m.cycle += ns
	}
}
