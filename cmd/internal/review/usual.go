package review

import (
	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/plausible"
	"arctally/cmd/internal/explain"
)

// measured are the bands of a final measurement.
type measured struct{ depth, angle, diameter, uncertainty plausible.Band }

// A bore is machined to near what it was, and was to be; ours, no source.
const (
	narrowest = 0.8 // of the least diameter that the job names
	widest    = 1.2 // of the greatest
)

// usualOf is what is usual of the bore at hand; where the job does not know it, of any.
func usualOf(b bore.Bore) (m measured) {
	m.depth = of[quantity.Metres]("machining.depth")
	m.angle = of[quantity.Degrees]("machining.angle")
	m.diameter = of[quantity.Metres]("machining.diameter")
	m.uncertainty = of[quantity.Metres]("machining.uncertainty")
	if b.Length > 0 {
		m.depth = plausible.In("machining.depth", 0, b.Length, "mm", "the job has a bore of "+quantity.Plainly(b.Length, "mm"))
	}
	if b.WornDiameter > 0 {
		least := b.WornDiameter
		for _, d := range []quantity.Metres{b.FinishDiameter, b.WeldToDiameter} {
			if d > 0 {
				least = min(least, d)
			}
		}
		m.diameter = plausible.In("machining.diameter", narrowest*least, widest*b.WornDiameter, "mm",
			"the job has a bore of "+quantity.Plainly(b.WornDiameter, "mm"))
	}
	return m
}

func of[Q quantity.Quantity](what string) plausible.Band {
	b, known := plausible.Find[Q](what)
	if !known {
		panic("review: nobody says what is usual of " + what)
	}
	return b
}

// ErrSaysNothing is an entry with nothing but a name.
var ErrSaysNothing error = &explain.Error{
	Kind: explain.Unfit, Text: "the entry says nothing but who makes it: nothing was put on record",
	Next: "give a diameter, say whether it cleaned up, write a remark, or add a photograph",
}
