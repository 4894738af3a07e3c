package pass

import (
	"math"

	"arctally/analyze/arc"
	"arctally/analyze/waveform"
)

// reached is how far a pass has come.
type reached struct {
	at       Position
	sums     arc.Sums
	arcTurns float64        // dial turns in arc
	wire     float64        // m, but for what windows count
	way      way            // that is measured itself
	wave     *waveform.Mark // of a place that lies back; nil is now
}

// soFar is how far the pass under way has come with its last sample in arc.
func (s *Splitter) soFar() reached {
	sums := s.arc.Sums()
	r := reached{at: s.rested, sums: sums, arcTurns: s.odometer.sum, wire: s.feed.upTo(sums.Arc), way: s.carriage.upTo(sums.Arc)}
	switch {
	case s.arc.Lit():
		newest, _ := s.arc.Newest()
		turns := s.torch.Dial(newest)
		r.at, r.arcTurns = s.position(newest, turns), s.odometer.upTo(turns)
	case s.arc.Open():
		r.at = s.position(s.arc.Last(), s.odometer.last)
	}
	return r
}

// odometer adds up the dial turns that the torch makes in arc.
type odometer struct {
	sum  float64 // up to where the arc went out
	from float64 // where it came back
	last float64 // where it went out
}

func (o *odometer) light(turns float64) { o.from = turns }

func (o *odometer) goOut(turns float64) { o.sum, o.last = o.upTo(turns), turns }

// upTo returns the turns in arc up to a place, where the arc burns.
func (o *odometer) upTo(turns float64) float64 { return o.sum + math.Abs(turns-o.from) }

// brief are the brief arc-outs of a pass.
type brief struct {
	count int
	time  int64 // ns
}

// add takes the end of an arc-out. Where data is missing in it, nobody knows.
func (b *brief) add(back arc.Event) {
	if back.Missing == 0 {
		b.count++
		b.time += back.Tick - back.From
	}
}
