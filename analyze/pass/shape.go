package pass

import (
	"arctally/acquire/series"
	"arctally/analyze/waveform"
)

// shapeWindow is how much arc time, in ns, one look at the waveform takes:
// long against a cycle, short against what a torch turns meanwhile.
const shapeWindow = 500_000_000

// slowestShape is the longest refresh, in ns, of a source that can show shorts.
const slowestShape = 500_000

// shapes joins a meter of the waveform to buckets and passes.
type shapes struct {
	meter  *waveform.Meter // nil as long as no source was fast enough
	arc    int64           // ns since the last look
	closed *waveform.Mark  // the pass ended there, at the closing of its ring
}

// meterOf returns the meter that a source's samples go to, nil where it only
// tells means or is too slow. The step of the samples themselves is seen to by
// the meter.
func (s *shapes) meterOf(src series.Source) *waveform.Meter {
	for _, c := range src.Channels[:min(2, len(src.Channels))] {
		if c.Basis != series.Instantaneous {
			return nil
		}
	}
	if src.Refresh > slowestShape {
		return nil
	}
	if s.meter == nil {
		s.meter = waveform.NewMeter()
	}
	return s.meter
}

// burn looks at the waveform when enough arc time has gone by.
func (s *shapes) burn(b *Bucket) {
	b.Waveform, b.Looked = nil, false
	s.arc += b.Arc
	if s.meter != nil && s.arc >= shapeWindow {
		b.Waveform, b.Looked, s.arc = s.meter.Take(), true, 0
	}
}

// mark returns the state at a moment that may turn out to be the end of a pass.
func (s *shapes) mark() *waveform.Mark {
	if s.meter == nil {
		return nil
	}
	return s.meter.Mark()
}

// endPass sets the waveform of a pass.
func (s *shapes) endPass(p *Pass) {
	switch {
	case s.meter == nil:
	case s.closed != nil:
		p.Waveform = s.meter.EndPassAt(s.closed)
	default:
		p.Waveform = s.meter.EndPass()
	}
	s.closed, s.arc = nil, 0
}
