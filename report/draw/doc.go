// Package draw has the drawings of the weld record as values: charts over the
// passes, the bore seen along its axis, its wall unrolled, and the arc by angle.
// A drawing is made once and rendered as SVG for a page or painted into a PDF
// file; both show the same numbers to the last digit.
//
// Terms. A drawing has layers, each painted over the one before, of shapes:
// paths, circles, rectangles and labels. A shape has a class, and what a class
// looks like is said in one style sheet, which a browser reads for the page and
// Style reads for the paper. A figure is a drawing with the words around it. A pin
// is the numbered mark of a finding. An icon is a drawing of one shape that stands
// in a line of text.
//
// Coordinates are in units of the drawing, y downwards, and are rounded to a tenth
// as the drawing is made.
//
// Errors: a style that a painter cannot use, such as a hatch that there is not.
package draw
