package analyze

import (
	"math"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
)

// areas tells what share of the bore each pass covers:
//
//	A = s*p            of a pass: net path length s, pitch p
//	A = pi*D*L         of the bore at the diameter D of the layer, length L
//
// Plain geometry; the path of a helix leans, which makes A of a pass too large
// by less than 1e-4.
func (p *Proof) areas(job *procedure.Job, passes []pass.Pass) {
	if job.Deposit.Pattern == bore.Straight || job.Bore.Length <= 0 || job.Deposit.Pitch <= 0 {
		return
	}
	p.Laid, p.ProvedArea = new(quantity.SquareMetres), new(quantity.SquareMetres)
	for i := range passes {
		one := &passes[i]
		if one.Travel == nil || one.Diameter <= 0 {
			continue
		}
		area := quantity.SquareMetres(*one.Travel * job.Deposit.Pitch)
		wall := quantity.SquareMetres(math.Pi * one.Diameter * job.Bore.Length)
		p.Passes[i].Area, p.Passes[i].Share = &area, new(quantity.Ratio(area/wall))
		*p.Laid += area
		if p.Passes[i].Proved {
			*p.ProvedArea += area
		}
		p.layer(job, &p.Passes[i], wall)
	}
}

// layer adds the share of a pass to its layer. A layer that is not known is none.
func (p *Proof) layer(job *procedure.Job, one *PassProof, wall quantity.SquareMetres) {
	if one.Layer <= 0 {
		return
	}
	k := 0
	for k < len(p.Layers) && p.Layers[k].Layer != one.Layer {
		k++
	}
	if k == len(p.Layers) {
		p.Layers = append(p.Layers, LayerProof{Layer: one.Layer, Area: wall, Planned: toWeld(job.Deposit)})
	}
	l := &p.Layers[k]
	l.Laid += *one.Share
	if one.Proved {
		l.Proved += *one.Share
	}
}

// toWeld is the share of the wall that the gaps leave.
func toWeld(d bore.Deposit) quantity.Ratio {
	left := quantity.Degrees(360)
	for _, g := range d.Gaps {
		left -= g.Width()
	}
	return quantity.Ratio(left / 360)
}
