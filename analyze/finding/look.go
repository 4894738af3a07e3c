package finding

import (
	"arctally/acquire/quantity"
	"arctally/analyze/waveform"
)

// glance is one look at the waveform, and where it was taken.
type glance struct {
	start, end int64   // ticks
	turns      float64 // as it began
	turned     float64 // and as it ended
	wire       float64 // m/s, mean; 0 is not known
	waveform   *waveform.Statistics
}

// lookRule judges look by look what has an upper limit.
type lookRule struct {
	of          func(g glance, good *reference) float64
	mode        waveform.Mode    // the only one in which it means something; empty is all
	againstGood bool             // it needs a good arc of the job to be held against
	least       quantity.Seconds // for which it must last, where that is longer than the dwell
}

// applies reports whether a rule can judge a look at the arc of a job.
func (r *lookRule) applies(g glance, usual waveform.Mode, good *reference) bool {
	if r.againstGood && good.empty() {
		return false
	}
	return r.mode == "" || r.mode == usual && like(g.waveform, r.mode)
}

// like reports whether a look shows what the arcs of a mode are judged by. An arc that
// has stopped shorting shows how often it does, and a spray arc that has become restless how
// much it is.
func like(s *waveform.Statistics, mode waveform.Mode) bool {
	switch mode {
	case waveform.Dip:
		return s.ShortsTold
	case waveform.Pulsed:
		return s.PulseRate != nil
	default:
		return s.Mode != waveform.Pulsed && s.Unrest != nil
	}
}

// stubs is the rate of shorts that are far longer than those of this arc.
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
