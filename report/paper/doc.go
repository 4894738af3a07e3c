// Package paper is the weld record that people keep: one list of sections, rendered
// as a page that loads nothing and as the sheets of a PDF file. Each heading and each
// sentence is written once, and both renderers show it.
//
// Terms. A section is a heading with blocks below it. A block is one thing that both
// renderers know: a sentence, a list, a table, a figure ... A part is a line in a cell
// of a table. What only one of them shows is marked so, where it stands.
//
// The only dates in either are those of the record, so that the same record always
// gives the same bytes.
//
// Errors: those of the writer, and a drawing that cannot be painted, wrapped once.
package paper
