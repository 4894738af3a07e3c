package bead

import (
	"math"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/pass"
)

// Whereabouts tells where a number of turns is; a *pass.Splitter does.
type Whereabouts interface {
	PlaceOf(turns float64) *bore.Place
}

// Follower is a pass.Listener that hands pieces to its takers.
type Follower struct {
	where  Whereabouts
	rings  bool
	takers []Taker

	start, last float64
	late        []Piece // may belong to the next ring
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
	for k := range f.late {
		l := &f.late[k]
		l.From, l.To = l.From+shift, l.To+shift
		l.Place = f.where.PlaceOf((l.From + l.To) / 2)
	}
	if len(f.late) > 0 {
		f.start = f.late[0].From
	}
	for _, t := range f.takers {
		t.Begin(p, f.start)
	}
	f.hand(f.late)
	f.late = f.late[:0]
}

// Resume implements pass.Listener. Time that is not known to be without arc is
// without data.
func (f *Follower) Resume(from, to pass.Position, off quantity.Seconds) {
	unseen := float64(to.Tick-from.Tick) - float64(off)*1e9
	if unseen > leastUnseen {
		f.cut(Piece{From: from.Turns, To: to.Turns, Start: from.Tick, Basis: from.Basis, Unseen: unseen, WireRead: f.wireRead})
	}
	f.last = to.Turns
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
		Unseen: float64(b.Gap), Arc: float64(b.Arc + b.Partial), Meant: float64(b.Arc), V: b.V, I: b.I, Energy: b.Energy,
		Wire: f.wireSpeed * float64(b.Arc+b.Partial) * 1e-9, WireRead: f.wireRead,
	}
	if b.TurnsBasis == "" {
		whole.From, whole.To = 0, 0
	}
	f.last = whole.To
	f.cut(whole)
}

// cut hands a piece on in short ones.
func (f *Follower) cut(whole Piece) {
	parts := max(1, min(mostCuts, int(math.Ceil(whole.Turned()/grain))))
	share, step := 1/float64(parts), (whole.To-whole.From)/float64(parts)
	for k := range parts {
		p := whole
		p.From, p.To = whole.From+float64(k)*step, whole.From+float64(k+1)*step
		p.Arc, p.Meant, p.V, p.I = share*p.Arc, share*p.Meant, share*p.V, share*p.I
		p.Energy, p.Wire, p.Unseen = share*p.Energy, share*p.Wire, share*p.Unseen
		if p.Basis != "" {
			p.Place = f.where.PlaceOf((p.From + p.To) / 2)
		}
		f.keepOrHand(p)
	}
}

// keepOrHand holds a piece back that may belong to the next ring.
func (f *Follower) keepOrHand(p Piece) {
	if f.rings && p.Basis != "" && math.Abs(p.To-f.start) >= 1-nearClose {
		f.hold(p)
		return
	}
	f.hand([]Piece{p})
}

// clearOfClose is how far past the close, in turns, pieces may be joined: before,
// each must be told apart by its time.
const clearOfClose = 1e-3

// hold keeps a piece; a torch that hardly moves adds to the last one, so that no
// more is kept than the overlap is long.
func (f *Follower) hold(p Piece) {
	if n := len(f.late); n > 0 {
		last := &f.late[n-1]
		if math.Abs(last.From-f.start) > 1+clearOfClose && last.Turned() < grain/4 && last.WireRead == p.WireRead {
			last.To = p.To
			last.Arc, last.Meant, last.V, last.I = last.Arc+p.Arc, last.Meant+p.Meant, last.V+p.V, last.I+p.I
			last.Energy, last.Wire, last.Unseen = last.Energy+p.Energy, last.Wire+p.Wire, last.Unseen+p.Unseen
			return
		}
	}
	f.late = append(f.late, p)
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
	for mine < len(f.late) && f.late[mine].Start < p.End.Tick {
		mine++
	}
	f.hand(f.late[:mine])
	rest := f.late[:0]
	for _, l := range f.late[mine:] {
		if l.Arc > 0 || l.Unseen > 0 {
			rest = append(rest, l)
		}
	}
	f.late = rest
	for _, t := range f.takers {
		t.End(p)
	}
}
