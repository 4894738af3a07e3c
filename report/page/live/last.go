package live

import "arctally/analyze/now"

// remember keeps what is known while the arc burns, and holds it once it is out.
func (b *Board) remember(s *now.Status) {
	if b.Pass != nil {
		b.newest.Pass = b.Pass
	} else if p := b.whole.last; p != nil && s.Passes > 0 {
		b.newest.Pass = b.passOf(&now.Progress{Pass: *p, SinceStart: p.Elapsed}, nil)
	}
	if s.ArcOn {
		b.newest.Channels = b.Channels
		b.Held, b.Last = false, nil
		return
	}
	b.hold(b.Steady)
}

// hold shows what was last known of an arc, so long after it went out; nil is not known.
func (b *Board) hold(ended *float64) {
	b.Held = true
	if b.Last = nil; b.newest.Pass == nil && len(b.newest.Channels) == 0 {
		return
	}
	last := b.newest
	if last.Channels == nil {
		last.Channels = []Channel{}
	}
	last.Ended, b.Last = ended, &last
}

// Awaits says whether an end of the pass is on record and the pass goes on.
func (b *Board) Awaits(end bool) { b.awaits = end }

// waits shows for what an end of the pass waits.
func (b *Board) waits() {
	b.Ending = nil
	switch {
	case !b.awaits:
	case !b.heard():
		b.Ending = &Ending{"the end of the pass waits for the sensor box: nothing comes from it"}
	case b.ArcOn:
		b.Ending = &Ending{"the arc burns: the pass ends as it goes out"}
	default:
		b.Ending = &Ending{"the arc is out: the pass ends with the next samples"}
	}
}
