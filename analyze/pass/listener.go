package pass

import (
	"arctally/acquire/quantity"
	"arctally/analyze/arc"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
)

// Position is a moment and where the torch was.
type Position struct {
	Moment
	Turns float64          // from where the record, or the pass, began
	Place *bore.Place      // nil where the angle is not known
	Basis heat.TravelBasis // what Turns and Place rest on
	Zero  float64          // turns at the start angle
}

// Bucket is what burned in one short time of an arc interval, and where.
type Bucket struct {
	arc.Bucket
	Turns      float64 // at End; meaningful where TurnsBasis is set
	TurnsBasis heat.TravelBasis
}

// Listener is told what happens, in the order of the ticks.
type Listener interface {
	// Begin says that a pass has begun; number and layer are set.
	Begin(p *Pass, at Position)
	// Resume says that an arc interval follows another one of the same pass;
	// off is the time between them that is known to be without arc.
	Resume(from, to Position, off quantity.Seconds)
	// Burn hands on what burned in a short time of an arc interval.
	Burn(b *Bucket)
	// Rest says that an arc interval has ended.
	Rest(at Position)
	// End says that the pass is complete; its numbers are final.
	End(p *Pass)
}

// Listeners hands on to several listeners, in their order.
type Listeners []Listener

// Begin implements Listener.
func (l Listeners) Begin(p *Pass, at Position) {
	for _, x := range l {
		x.Begin(p, at)
	}
}

// Resume implements Listener.
func (l Listeners) Resume(from, to Position, off quantity.Seconds) {
	for _, x := range l {
		x.Resume(from, to, off)
	}
}

// Burn implements Listener.
func (l Listeners) Burn(b *Bucket) {
	for _, x := range l {
		x.Burn(b)
	}
}

// Rest implements Listener.
func (l Listeners) Rest(at Position) {
	for _, x := range l {
		x.Rest(at)
	}
}

// End implements Listener.
func (l Listeners) End(p *Pass) {
	for _, x := range l {
		x.End(p)
	}
}
