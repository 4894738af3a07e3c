package analyze

import (
	"arctally/acquire/quantity"
	"arctally/analyze/harmonic"
	"arctally/analyze/heat"
	"arctally/analyze/rotation"
)

// offDeclared is by how much a derived rotation must differ from the declared one
// to be worth a warning: the machine's dial is no better. Ours; no source.
const offDeclared = 0.01

// ofRotation tells which passes go by a derived rotation, and where a rhythm was
// looked for and not found.
func (r *Run) ofRotation(add func(kind string, count int64, format string, arg ...any)) {
	var derived, without, short int64
	for k := range r.passes {
		switch p := &r.passes[k]; {
		case p.TravelBasis == heat.TravelDerived:
			derived++
			if off := float64(p.Rotation.Speed/p.Rotation.Declared) - 1; max(off, -off) > offDeclared {
				add("rotation", 1, "pass %d: %s", p.Number, against(p.Rotation))
			}
		case p.Rotation.Searched > 0 && p.Rotation.Searched < harmonic.LeastTurns:
			short++
		case p.Rotation.Searched > 0:
			without++
		}
	}
	if derived > 0 {
		add("derived-travel", derived, "travel of %d passes is derived from the once-a-turn rhythm of the signal: places hold for a rotation that is even, from the start angle on", derived)
	}
	if short > 0 {
		add("no-rhythm", short, "%d passes are shorter than the %.1f turns that it takes to derive a rotation from the signal: their declared rotation stands", short, harmonic.LeastTurns)
	}
	if without > 0 {
		add("no-rhythm", without, "no once-a-turn rhythm stands out of the noise in %d passes: their declared rotation stands, and angles drift with every turn", without)
	}
}

// against compares a derived rotation with the declared one.
func against(n rotation.Account) string {
	share := quantity.Ratio(n.Speed/n.Declared - 1)
	return "the torch turned at " + quantity.Text(n.Speed, "rpm", 3) + " (+-" + quantity.Text(2*n.Uncertainty, "rpm", 3) +
		", k = 2) by its " + string(n.From) + ", " + quantity.Text(share, "%", 1) + " off the declared " +
		quantity.Text(n.Declared, "rpm", 3) + "; the derived one is used: look at the dial and the drive"
}
