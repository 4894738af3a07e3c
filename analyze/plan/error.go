package plan

import (
	"errors"
	"fmt"
	"strings"

	"arctally/acquire/quantity"
)

// ErrStraight is returned for a bead on a plate: it has no bore and no layers.
var ErrStraight = errors.New("a straight bead has no bore to plan; the pattern must go round")

// MissingError lists what a job must declare to be planned.
type MissingError struct{ Keys []string }

// Error returns one line with the keys as they stand in a job file.
func (e *MissingError) Error() string {
	return "the job cannot be planned without " + strings.Join(e.Keys, ", ")
}

// Hint says what to declare.
func (e *MissingError) Hint() string {
	return "declare it in the job file; a set-point may also come from a window of the procedure with two limits"
}

// TooManyLayersError reports layers so thin that the bore does not close.
type TooManyLayersError struct {
	Layers    int
	Diameter  quantity.Metres // that they reach
	WeldTo    quantity.Metres
	Thickness quantity.Metres // of the last one
}

// Error returns one line with the figures in mm.
func (e *TooManyLayersError) Error() string {
	reach, goal := quantity.TextAgainst(e.Diameter, e.WeldTo, "mm", 2)
	return fmt.Sprintf("%d layers of about %s reach %s, not %s", e.Layers, quantity.Significant(e.Thickness, "mm", 2), reach, goal)
}
