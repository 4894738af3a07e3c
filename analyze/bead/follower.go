package bead

import (
	"math"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/pass"
)

// Whereabouts tells where a number of turns is; a *pass.Splitter does.
type Whereabouts interface {
	Locate(turns float64) (at bore.Place, known bool)
}

// Follower is a pass.Listener that hands pieces to its takers.
type Follower struct {
	where  Whereabouts
	rings  bool
	takers []Taker

	start, last float64
	heldBack    []Piece    // may belong to the next ring
	one         [1]Piece   // being handed on, here so that it needs no memory of its own
	place       bore.Place // of it
	wireSpeed   float64
	wireRead    bool
}

// NewFollower returns a follower of a pattern. Follow must be called before
// anything happens.
func NewFollower(pattern bore.Pattern, takers ...Taker) *Follower {
	return &Follower{rings: pattern == bore.Rings, takers: takers}
}

// Follow tells who knows where the torch is.
func (f *Follower) Follow(where Whereabouts) { f.where = where }

// WireSpeed takes a reading of the wire feed in m/s.
func (f *Follower) WireSpeed(speed float64) { f.wireSpeed, f.wireRead = speed, true }

// Begin implements pass.Listener.
func (f *Follower) Begin(p *pass.Pass, at pass.Position) {
	shift := at.Turns - f.last // declared turns count anew with each pass
	f.start, f.last = at.Turns, at.Turns
	for k := range f.heldBack {
		p := &f.heldBack[k]
		p.From, p.To = p.From+shift, p.To+shift
		f.locate(p, new(bore.Place))
	}
	if len(f.heldBack) > 0 {
		f.start = f.heldBack[0].From
	}
	for _, t := range f.takers {
		t.Begin(p, f.start)
	}
	f.hand(f.heldBack)
	f.heldBack = f.heldBack[:0]
}

// Resume implements pass.Listener. Time that is not known to be without arc is
// without data.
func (f *Follower) Resume(from, to pass.Position, off quantity.Seconds) {
	unseen := float64(to.Tick-from.Tick) - float64(off)*1e9
	if unseen > leastUnseen {
		f.cut(&Piece{From: from.Turns, To: to.Turns, Start: from.Tick, Basis: from.Basis, Unseen: unseen, WireRead: f.wireRead})
	}
	f.without(from, to, float64(off)*1e9)
	f.last = to.Turns
}

// without tells who asks where the torch was in the ns without arc, as if it had gone
// its way evenly. Only the map does: such a piece belongs to no bead.
func (f *Follower) without(from, to pass.Position, off float64) {
	if off <= 0 || to.Basis == "" {
		return
	}
	f.parts(&Piece{From: from.Turns, To: to.Turns, Start: from.Tick, Basis: to.Basis, Off: off}, func(p *Piece) {
		for _, t := range f.takers {
			if idler, ok := t.(Idler); ok {
				idler.Without(p)
			}
		}
	})
}

// leastUnseen is the time in ns from which a gap is one, and not the rounding of a
// difference of times.
const leastUnseen = 1e6

// Rest implements pass.Listener.
func (f *Follower) Rest(pass.Position) {}

const (
	grain     = 1.0 / 288 // turns of a piece, a quarter of a column of the map
	mostCuts  = 720       // pieces of a bucket: a count may jump
	nearClose = 1e-6      // turns before a ring closes from which its pieces are held back
)

// Burn implements pass.Listener.
func (f *Follower) Burn(b *pass.Bucket) {
	whole := Piece{
		From: f.last, To: b.Turns, Start: b.Start, Basis: b.TurnsBasis,
		Unseen: float64(b.Missing), Arc: float64(b.Arc + b.Partial), Meant: float64(b.Arc), V: b.V, I: b.I, Energy: b.Energy,
		Wire: f.wireSpeed * float64(b.Arc+b.Partial) * 1e-9, WireRead: f.wireRead,
	}
	if b.TurnsBasis == "" {
		whole.From, whole.To = 0, 0
	}
	f.last = whole.To
	f.cut(&whole)
}

// cut hands a piece on in short ones.
func (f *Follower) cut(whole *Piece) { f.parts(whole, f.handOrHoldBack) }

// parts parts a piece into short ones, each at its place. What is taken is used again for
// the next one.
func (f *Follower) parts(whole *Piece, take func(*Piece)) {
	parts := max(1, min(mostCuts, int(math.Ceil(whole.Turned()/grain))))
	share, step := 1/float64(parts), (whole.To-whole.From)/float64(parts)
	p := &f.one[0]
	*p = whole.times(share)
	for k := range parts {
		p.From, p.To = whole.From+float64(k)*step, whole.From+float64(k+1)*step
		if p.Basis != "" {
			f.locate(p, &f.place)
		}
		take(p)
	}
}

// locate gives a piece its place, in the memory for it; nil where that is not known.
func (f *Follower) locate(p *Piece, at *bore.Place) {
	p.Place = nil
	var known bool
	if *at, known = f.where.Locate((p.From + p.To) / 2); known {
		p.Place = at
	}
}

// handOrHoldBack holds a piece back that may belong to the next ring.
func (f *Follower) handOrHoldBack(p *Piece) {
	if f.rings && p.Basis != "" && math.Abs(p.To-f.start) >= 1-nearClose {
		f.holdBack(p)
		return
	}
	f.hand(f.one[:])
}

// clearOfClose is how far past the close, in turns, pieces may be joined: before,
// each must be told apart by its time.
const clearOfClose = 1e-3

// holdBack keeps a piece; a torch that hardly moves adds to the last one, so that no
// more is kept than the overlap is long.
func (f *Follower) holdBack(p *Piece) {
	if n := len(f.heldBack); n > 0 {
		last := &f.heldBack[n-1]
		if math.Abs(last.From-f.start) > 1+clearOfClose && last.Turned() < grain/4 && last.WireRead == p.WireRead {
			last.add(p)
			return
		}
	}
	own := *p
	if p.Place != nil {
		own.Place = new(*p.Place)
	}
	f.heldBack = append(f.heldBack, own)
}

func (f *Follower) hand(pieces []Piece) {
	for k := range pieces {
		for _, t := range f.takers {
			t.Take(&pieces[k])
		}
	}
}

// End implements pass.Listener. What burned after the end of the pass belongs to
// the next one.
func (f *Follower) End(p *pass.Pass) {
	mine := 0
	for mine < len(f.heldBack) && f.heldBack[mine].Start < p.End.Tick {
		mine++
	}
	f.hand(f.heldBack[:mine])
	rest := f.heldBack[:0]
	for _, next := range f.heldBack[mine:] {
		if next.Arc > 0 || next.Unseen > 0 {
			rest = append(rest, next)
		}
	}
	f.heldBack = rest
	for _, t := range f.takers {
		t.End(p)
	}
}
