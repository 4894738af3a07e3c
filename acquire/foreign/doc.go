// Package foreign knows how words that come from outside are taken and shown: those
// that people type, that boxes say, that stand in files and in their names. They are
// data. Whatever is in them, they rule neither a terminal nor a page nor a table.
//
// Terms. A hidden character shows nothing by itself, and may change what stands
// around it: a control character (one of them begins the orders that a terminal
// obeys), a turn of the direction of writing, a character without width, a separator
// of lines or paragraphs.
//
// A hidden character is shown by its number, as JSON and many languages write it:
//
//	\u001b
//
// In JSON that is the same text, so that one Writer serves tables and JSON.
package foreign
