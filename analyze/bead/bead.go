// Package bead knows what a pass did, piece by piece of its way, and what was laid
// where: it cuts what the arc did into pieces of no more than a degree and a quarter,
// gives each to the pass it belongs to, with its place, and fills the unrolled map of
// a bore from them, one pass after the other, in constant memory.
//
// It matters for rings that are laid without putting the arc out. Whether such a
// ring has ended is only known an overlap later; what burned meanwhile is held
// back here, and goes to the ring that it belongs to, at that ring's depth.
//
// Energy and arc time fall into the cell in which the arc burned. The path of a
// pass is shared out by the way that the torch went with the arc on where turns
// are counted, else by arc time. Its wire is shared out by arc time, weighted with
// the wire speed wherever one was read, so that a slip shows at its place; the
// volume of a cell is
//
//	V = eff*(pi/4*d^2)*L
//
// with the deposition efficiency eff, the wire diameter d and the share L of the
// wire. Where no wire was measured, the set-point of the wire speed stands in, and
// the map says for how much. The sums over all cells are those of the passes.
package bead

import (
	"math"

	"arctally/analyze/bore"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
)

// Piece is a short piece of the way of an arc interval.
type Piece struct {
	From, To float64          // turns, on the count of the splitter
	Start    int64            // tick at which the bucket began that it is cut from
	Place    *bore.Place      // its middle; nil is not known
	Basis    heat.TravelBasis // what turns and place rest on; empty is not known
	Arc      float64          // ns in arc
	Meant    float64          // ns of it that V and I stand for
	V, I     float64          // integrals, V*ns and A*ns
	Energy   float64          // W*ns
	Unseen   float64          // ns without data, in which the arc may have burned
	Off      float64          // ns known to be without arc
	Wire     float64          // m, by the wire speed that was read last
	WireRead bool             // whether one was read
}

// Turned returns the turns of the piece, always positive.
func (p *Piece) Turned() float64 { return math.Abs(p.To - p.From) }

// times returns a share of the piece, all of it still on the whole way.
func (p *Piece) times(share float64) Piece {
	part := *p
	part.Arc, part.Meant, part.V, part.I = share*p.Arc, share*p.Meant, share*p.V, share*p.I
	part.Energy, part.Wire, part.Unseen, part.Off = share*p.Energy, share*p.Wire, share*p.Unseen, share*p.Off
	return part
}

// add joins the piece that follows on the way.
func (p *Piece) add(next *Piece) {
	p.To = next.To
	p.Arc, p.Meant, p.V, p.I = p.Arc+next.Arc, p.Meant+next.Meant, p.V+next.V, p.I+next.I
	p.Energy, p.Wire, p.Unseen = p.Energy+next.Energy, p.Wire+next.Wire, p.Unseen+next.Unseen
}

// Taker is told of passes and their pieces, in order.
type Taker interface {
	// Begin says that a pass has begun, at a number of turns.
	Begin(p *pass.Pass, turns float64)
	// Take hands on a piece, which is used again for the next one.
	Take(p *Piece)
	// End says that the pass is complete; its numbers are final.
	End(p *pass.Pass)
}

// Idler is a Taker that is also told where the torch was while the arc was out in a pass.
type Idler interface {
	// Without hands on a piece without arc, which is used again for the next one.
	Without(p *Piece)
}
