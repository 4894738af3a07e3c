package foreign

import (
	"fmt"
	"reflect"
	"strings"
	"unicode"
	"unicode/utf16"
	"unicode/utf8"
)

// IsHidden tells whether a character shows nothing by itself. New lines, tabs and spaces
// are not hidden: everybody sees what they do.
func IsHidden(r rune) bool {
	switch {
	case r == '\n' || r == '\t':
		return false
	case r < utf8.RuneSelf:
		return r < ' ' || r == 0x7f
	default:
		return unicode.In(r, unicode.Cc, unicode.Cf, unicode.Zl, unicode.Zp, unicode.Other_Default_Ignorable_Code_Point)
	}
}

// Visible shows every hidden character of a text by its number. What is no text, but
// bytes, is shown by the character that stands for that.
func Visible(text string) string {
	if isPlain(text) {
		return text
	}
	return string(appendVisible(make([]byte, 0, 2*len(text)), text))
}

// Line is Visible for what stands in one line: new lines and tabs are shown as well, so
// that nothing can be told that looks like a line of the program.
func Line(text string) string {
	return lineBreaks.Replace(Visible(text))
}

var lineBreaks = strings.NewReplacer("\n", `\n`, "\t", `\t`)

// isPlain tells quickly that a text has nothing hidden; false says nothing.
func isPlain[Text string | []byte](text Text) bool {
	for k := range len(text) {
		if c := text[k]; c >= 0x7f || c < ' ' && c != '\n' && c != '\t' {
			return false
		}
	}
	return true
}

func appendVisible(to []byte, text string) []byte {
	for _, r := range text { // bytes that are no text come as utf8.RuneError, which is seen
		if IsHidden(r) {
			to = appendNumber(to, r)
		} else {
			to = utf8.AppendRune(to, r)
		}
	}
	return to
}

// appendNumber writes a character by its number, beyond the first plane by two, as JSON does.
func appendNumber(to []byte, r rune) []byte {
	if r > 0xffff {
		high, low := utf16.EncodeRune(r)
		return fmt.Appendf(to, `\u%04x\u%04x`, high, low)
	}
	return fmt.Appendf(to, `\u%04x`, r)
}

// Args makes the values of a line that is printed fit for it: texts by Line. An error may
// have several lines; those after the first are moved in, so that none of them looks like a
// line of the program. Anything else stays as it is.
func Args(values ...any) []any {
	fit := make([]any, len(values))
	for k, value := range values {
		switch v := value.(type) {
		case nil:
			fit[k] = nil
		case error:
			fit[k] = strings.ReplaceAll(Visible(v.Error()), "\n", "\n  ")
		case fmt.Stringer:
			fit[k] = value
			if kind := reflect.TypeOf(value).Kind(); kind == reflect.String || kind == reflect.Struct || kind == reflect.Pointer {
				fit[k] = Line(v.String())
			}
		default:
			fit[k] = value
			if of := reflect.ValueOf(value); of.Kind() == reflect.String {
				fit[k] = Line(of.String())
			}
		}
	}
	return fit
}
