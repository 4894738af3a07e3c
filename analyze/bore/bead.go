package bore

import "arctally/acquire/quantity"

// StepForOverlap returns the step from bead to bead at which each covers a
// share of its neighbour's width:
//
//	p = w*(1 - f)
//
// with the bead's width w and the overlap f, 0.3 to 0.5 in common practice.
func StepForOverlap(width quantity.Metres, overlap quantity.Ratio) quantity.Metres {
	return width * quantity.Metres(1-overlap)
}

// tangentShare is the step over the width in the tangent overlapping model.
// Source: Ding et al., Robotics and Computer-Integrated Manufacturing 31 (2015)
// 101-110; the model's name was read in the abstract. Standing of the factor: memory.
const tangentShare = 0.738

// TangentStep returns the step at which the metal of an overlap just fills the
// valley under the common tangent of two beads:
//
//	p = 0.738*w
//
// with the bead's width w.
func TangentStep(width quantity.Metres) quantity.Metres { return tangentShare * width }
