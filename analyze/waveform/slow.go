package waveform

import "math"

// slowStep is over how much arc time, in ns, the voltage is averaged to show heavy drops:
// long against ripple, short against the growth of a drop. Ours, no source.
const slowStep = 10_000_000

// slowMean follows the mean of the voltage from one slowStep to the next.
type slowMean struct {
	end, from int64   // ns of the window: when the next is due, and when the last was
	area      float64 // V*ns of the window up to the last
	last      float64 // V; 0 is none
}

// take adds how far the mean since the last one lies from that.
func (s *slowMean) take(w *aggregate) {
	mean := (w.area - s.area) / float64(w.time-s.from)
	if s.last != 0 {
		w.slow.add(math.Abs(mean - s.last))
	}
	*s = slowMean{end: w.time + slowStep, from: w.time, area: w.area, last: mean}
}
