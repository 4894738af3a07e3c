package capture

import "math"

// stops follows how long values stand at the end of what a converter shows: a signal
// beyond it stands still, and is not held. Where that end lies is seen only by how often
// the largest value comes.
type stops struct{ volts, amperes stop }

func (s *stops) add(v, i float64, length int64) {
	s.volts.add(math.Abs(v), length)
	s.amperes.add(math.Abs(i), length)
}

// longest returns the longest standstill in ns with a channel at its stop.
func (s *stops) longest() int64 { return max(s.volts.stood(), s.amperes.stood()) }

// stop is the largest value of one channel so far.
type stop struct {
	value   float64
	times   int64
	longest int64 // ns
}

func (s *stop) add(value float64, length int64) {
	switch {
	case value > s.value:
		*s = stop{value: value, times: 1, longest: length}
	case value == s.value:
		s.times, s.longest = s.times+1, max(s.longest, length)
	}
}

// oftenLargest is how many standstills at the largest value make it an end of the
// range; the largest of values that scatter comes once or twice.
const oftenLargest = 5

func (s *stop) stood() int64 {
	if s.times < oftenLargest {
		return 0
	}
	return s.longest
}
