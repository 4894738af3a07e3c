package finding

import "arctally/analyze/waveform"

// glance is one look at the waveform, and where it was taken.
type glance struct {
	start, end int64 // ticks
	turns      float64
	wire       float64 // m/s, mean; 0 is not known
	waveform   *waveform.Statistics
}

// lookRule judges look by look what has an upper limit.
type lookRule struct {
	of          func(g glance, good *reference) float64
	againstGood bool // it needs a good arc of the job to be held against
}

// stubs is the rate of shorts of more than 10 ms.
func stubs(g glance, _ *reference) float64 {
	return float64(g.waveform.Stubs) / float64(g.waveform.Known)
}

// slip is the share of the wire speed that the current does not account for.
func slip(g glance, good *reference) float64 {
	if g.wire <= 0 || g.waveform.Stubs > 0 {
		return 0
	}
	return 1 - float64(good.law.WireSpeed(g.waveform))/g.wire
}

// streak follows a value that is above its limit look after look.
type streak struct {
	rule        Rule
	by          *lookRule
	limit       float64
	count       int
	first, last glance
	worst       float64
	report      func(*streak)
}

// follow takes the value of the next look.
func (s *streak) follow(g glance, value float64) {
	if value <= s.limit {
		s.close()
		return
	}
	if s.count == 0 {
		s.first, s.worst = g, value
	}
	s.count++
	s.last, s.worst = g, max(s.worst, value)
}

// close ends the streak and reports it if there was one.
func (s *streak) close() {
	if s.count > 0 {
		s.report(s)
	}
	s.count = 0
}

// feed is the mean of the wire speed over a look.
type feed struct {
	sum, weight, last float64
	known             bool
}

// add takes a speed and the time for which it stood.
func (f *feed) add(speed, weight float64) {
	f.sum += speed * weight
	f.weight += weight
	f.last, f.known = speed, true
}

// take returns the mean since it was last called; where nothing was read, what
// was read last still holds.
func (f *feed) take() float64 {
	mean := f.last
	if f.weight > 0 {
		mean = f.sum / f.weight
	}
	f.sum, f.weight = 0, 0
	return mean
}
