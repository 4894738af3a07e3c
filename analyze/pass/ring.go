package pass

// ringOverlap is how far, in turns, a ring may be welded over its own beginning
// to close it. An arc that burns on for longer has stepped over to the next
// ring without going out. Ours; common practice, no source.
const ringOverlap = 45.0 / 360

// closing is what a ring had come to when the torch was round where it began, or a
// stroke when the torch was furthest.
type closing struct {
	set bool
	reached
}

// followRing parts rings that are laid without putting the arc out, and strokes
// of which only the declared rotation tells the turns. Whether the arc goes on is
// only known after the overlap; until then both stay possible.
func (s *Splitter) followRing(b *Bucket) {
	turned, overlap := s.layers.turned(b.Turns), ringOverlap
	if s.layers.stroked() {
		overlap = ringSpare / 360.0
	}
	switch {
	case !s.arc.Lit(): // a dial that runs on does not say that the arc has stepped over
	case !s.closed.set && turned >= s.layers.need:
		s.feed.book(s.arc.ArcTime())
		s.close(b)
		s.closed.wave = s.arc.MarkWave()
	case s.closed.set && turned >= s.layers.need+overlap:
		s.part(b, s.odometer.upTo(b.Turns)-s.closed.arcTurns)
	}
}

// close keeps how far the pass has come with a bucket, at whose end the arc burns. What it
// has summed up the detector keeps.
func (s *Splitter) close(b *Bucket) {
	arc := s.arc.ArcTime()
	s.arc.Keep()
	s.closed = closing{true, reached{at: s.position(b.End, b.Turns), arcTurns: s.odometer.upTo(b.Turns), wire: s.feed.upTo(arc), way: s.carriage.upTo(arc)}}
}

// part ends the pass where its ring closed, or its stroke turned round, and gives
// what came after it, so many turns in arc, to the next one.
func (s *Splitter) part(b *Bucket, since float64) {
	c, sums := s.closed, s.arc.Sums()
	c.sums = s.arc.Kept()
	rest, wire := sums.Since(c.sums), s.feed.upTo(sums.Arc)-c.wire
	s.endPass(c.reached)
	s.layers.open = unfinished{} // one that parts with the arc on is no restart
	s.torch.BeginPass(c.at.Tick, true)
	start := c.at
	if !s.torch.Measured() {
		start.Turns = 0
	}
	s.beginPass(start)
	s.arc.Restart(rest)
	s.feed.restart(wire, rest.Arc)
	s.carriage.begin(rest.Arc)
	s.odometer.sum, s.odometer.from = since, s.torch.Dial(b.End)
	s.listener.Begin(s.current, s.At(b.End))
}
