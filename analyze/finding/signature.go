package finding

import "arctally/analyze/finding/chart"

// How the signature is followed: a CUSUM of each feature in standard deviations.
// One odd look counts no more than oneLook, so that it takes three of them, or a
// lasting shift of two deviations for some five seconds, to signal. Ours; with
// these, chance alone signals less than once in a million looks that are
// independent (order of magnitude from the exponential approximation of the run
// length; memory).
const (
	signatureSlack    = 1.0
	signatureDecision = 10.0
	oneLook           = 5.0
	quietWithin       = 3.0 // deviations within which a look is like the good ones
	quietLooks        = 4   // looks in a row that end a change
	datedLooks        = 64  // looks back to which a change is dated
	looksBefore       = 4   // looks before its run that help to date it
)

// oddity is a time in which the waveform was unlike that of the good passes.
type oddity struct {
	from, to    glance
	signalled   [features][2]bool // above, below
	most, least [features]float64
}

// bareArc reports whether the change is that of an arc without its gas: voltage
// goes up while the rhythm of the shorts changes.
func (c *oddity) bareArc() bool {
	rhythm := c.signalled[transfers][0] || c.signalled[transfers][1] || c.signalled[shortShare][0] || c.signalled[shortShare][1]
	return c.signalled[voltage95][0] && rhythm
}

// signature follows the features of the waveform look by look.
type signature struct {
	sums    [features]chart.CUSUM
	recent  [datedLooks]glance
	looks   int
	now     *oddity
	quiet   int
	changed func(oddity)
}

func (s *signature) open() bool { return s.now != nil }

// follow takes the next look.
func (s *signature) follow(g glance, good *reference) {
	s.recent[s.looks%datedLooks] = g
	s.looks++
	like := true
	of := featuresOf[good.mode]
	for _, f := range of {
		like = s.sum(f, g, good) && like
	}
	if s.now == nil {
		return
	}
	for _, f := range of {
		v := valueOf(f, g.waveform)
		s.now.most[f], s.now.least[f] = max(s.now.most[f], v), min(s.now.least[f], v)
	}
	if !like {
		s.quiet, s.now.to = 0, g
		return
	}
	if s.quiet++; s.quiet >= quietLooks {
		s.end()
	}
}

// sum adds a look to the CUSUM of one feature, and tells whether the look is
// like the good ones.
func (s *signature) sum(f feature, g glance, good *reference) bool {
	spread, ok := good.spread(f)
	if !ok {
		return true
	}
	z := (valueOf(f, g.waveform) - good.seen[f].Mean()) / spread
	c := &s.sums[f]
	c.Slack, c.Decision = signatureSlack, signatureDecision
	if c.Add(max(-oneLook, min(oneLook, z))) {
		s.signal(f, c, good)
	}
	return s.within(f, 0, z) && s.within(f, 1, -z)
}

// within reports whether a look is like the good ones on one side of them: where
// the change is on that side, it must be so close that the sum would fall.
func (s *signature) within(f feature, side int, z float64) bool {
	if s.now != nil && s.now.signalled[f][side] {
		return z <= signatureSlack
	}
	return z <= quietWithin
}

// signal opens the change. The sum left 0 where it began, or by chance a little
// before; of those looks and a few more, the step is dated as for any channel.
func (s *signature) signal(f feature, c *chart.CUSUM, good *reference) {
	run, side := c.HighRun, 0
	if c.Low > c.Decision {
		run, side = c.LowRun, 1
	}
	if s.now != nil && s.now.signalled[f][side] {
		return
	}
	first := s.dated(f, run)
	if s.now == nil {
		s.now = &oddity{from: first, to: first}
		for _, k := range featuresOf[good.mode] {
			s.now.most[k], s.now.least[k] = valueOf(k, first.waveform), valueOf(k, first.waveform)
		}
	}
	if first.start < s.now.from.start {
		s.now.from = first
	}
	s.now.signalled[f][side] = true
}

// dated returns the look at which a feature stepped, of a run and the looks before it.
func (s *signature) dated(f feature, run int) glance {
	from := max(0, s.looks-min(run+looksBefore, datedLooks))
	var steps []reading
	for k := from; k < s.looks; k++ {
		steps = append(steps, reading{mean: valueOf(f, s.recent[k%datedLooks].waveform), weight: 1})
	}
	return s.recent[(from+change(steps))%datedLooks]
}

// end closes the change that is open, and forgets what led to it.
func (s *signature) end() {
	if s.now != nil {
		s.changed(*s.now)
	}
	s.now, s.quiet, s.looks = nil, 0, 0
	s.sums = [features]chart.CUSUM{}
}
