// Package text writes a sheet for a terminal: tables with their columns aligned,
// and sentences below them that say what the figures rest on.
//
// Terms. A grid is a table: columns with a name above a unit, rows of cells, and
// lines under a row. A note is a sentence below a grid. A dash is what is not
// known; it is never zero.
//
// No line is longer than a terminal of 140 columns shows, but for the words of
// people, which are not cut.
//
// Errors: only those of the writer, wrapped once.
package text
