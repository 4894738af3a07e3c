package export

import (
	"strings"
	"unicode/utf8"

	"arctally/acquire/foreign"
)

// formulaStarts are the characters by which spreadsheets take a cell for a formula, the wide
// ones among them (OWASP, "CSV Injection"; standing: memory). A tab or a carriage return is
// shown by its number before it comes here.
const formulaStarts = "=+-@\uff1d\uff0b\uff0d\uff20"

// plainCell is a text as it stands in a CSV file: in one line, and with an apostrophe before
// what a spreadsheet would calculate. Numbers are written elsewhere, and keep their sign.
func plainCell(text string) string {
	text = foreign.Line(text)
	if first, _ := utf8.DecodeRuneInString(text); text != "" && strings.ContainsRune(formulaStarts, first) {
		return "'" + text
	}
	return text
}
