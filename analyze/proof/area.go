package proof

import (
	"math"
	"slices"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
)

// OfLayer is how much of the bore the passes of a layer cover.
type OfLayer struct {
	Layer   int
	Area    quantity.SquareMetres // of the bore at the layer's diameter
	Planned quantity.Ratio        // share that the gaps leave to be welded
	Laid    quantity.Ratio
	Proved  quantity.Ratio
}

// cover sets what share of the bore each pass covers, and sums that up by layer:
//
//	A = s*p            of a pass: net path length s, pitch p
//	A = pi*D*L         of the bore at the diameter D of the layer, length L
//
// Plain geometry; the path of a helix leans, which makes A of a pass too large
// by less than 1e-4. The sums are nil where there is no bore.
func cover(job *procedure.Job, passes []pass.Pass, proofs []OfPass) (layers []OfLayer, laid, proved *quantity.SquareMetres) {
	if job.Deposit.Pattern == bore.Straight || job.Bore.Length <= 0 || job.Deposit.Pitch <= 0 {
		return nil, nil, nil
	}
	laid, proved = new(quantity.SquareMetres), new(quantity.SquareMetres)
	for i := range passes {
		p, proof := &passes[i], &proofs[i]
		if p.Travel == nil || p.Diameter <= 0 {
			continue
		}
		area := quantity.SquareMetres(*p.Travel * job.Deposit.Pitch)
		wall := quantity.SquareMetres(math.Pi * p.Diameter * job.Bore.Length)
		proof.Area, proof.Share = &area, new(quantity.Ratio(area/wall))
		*laid += area
		if proof.Proved {
			*proved += area
		}
		layers = addToLayer(layers, job, proof, wall)
	}
	return layers, laid, proved
}

// addToLayer adds the share of a pass to its layer. A layer that is not known is none.
func addToLayer(layers []OfLayer, job *procedure.Job, of *OfPass, wall quantity.SquareMetres) []OfLayer {
	if of.Layer <= 0 {
		return layers
	}
	k := slices.IndexFunc(layers, func(l OfLayer) bool { return l.Layer == of.Layer })
	if k < 0 {
		k = len(layers)
		layers = append(layers, OfLayer{Layer: of.Layer, Area: wall, Planned: job.Deposit.WeldedShare()})
	}
	l := &layers[k]
	l.Laid += *of.Share
	if of.Proved {
		l.Proved += *of.Share
	}
	return layers
}
