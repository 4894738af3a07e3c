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

// ParabolicBeadArea returns the cross-section of a bead with a parabola for its
// upper edge:
//
//	A = 2/3*w*h
//
// with the width w and the height h.
func ParabolicBeadArea(width, height quantity.Metres) quantity.SquareMetres {
	return quantity.SquareMetres(2 * float64(width) * float64(height) / 3)
}

// FlatTopStep returns the step at which parabolic beads side by side carry as
// much metal as a flat layer of their own height:
//
//	p = 2/3*w
//
// with the bead's width w. Source: Ding et al., Robotics and Computer-Integrated
// Manufacturing 31 (2015) 101-110; the model's name was read in the abstract,
// the factor is memory and follows from ParabolicBeadArea.
func FlatTopStep(width quantity.Metres) quantity.Metres { return 2 * width / 3 }

// tangentShare is the step over the width in the tangent overlapping model.
// Source: as FlatTopStep. Standing: memory.
const tangentShare = 0.738

// TangentStep returns the step at which the metal of an overlap just fills the
// valley under the common tangent of two beads:
//
//	p = 0.738*w
//
// with the bead's width w; source as FlatTopStep.
func TangentStep(width quantity.Metres) quantity.Metres { return tangentShare * width }
