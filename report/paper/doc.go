// Package paper is the weld record that people keep: as a page that loads nothing,
// and as pages of a PDF file.
package paper
