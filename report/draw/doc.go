// Package draw has the drawings of the weld record as values: charts over the
// passes, the bore seen along its axis, its wall unrolled, and the arc by angle.
package draw
