package capture

import (
	"fmt"
	"strings"
)

// Error is a capture that cannot be read as it was asked for.
type Error struct {
	Name string // the capture
	Line int64  // 0 where no single line is at fault
	What string
	Next string // what to do; may be empty
	Err  error  // the failure beneath, where there is one
}

// Unwrap returns the failure beneath.
func (e *Error) Unwrap() error { return e.Err }

// Error returns place and cause; the hint is kept apart for whoever prints it.
func (e *Error) Error() string {
	if e.Line > 0 {
		return fmt.Sprintf("%s:%d: %s", e.Name, e.Line, e.What)
	}
	return fmt.Sprintf("%s: %s", e.Name, e.What)
}

// Hint says what to do; it may be empty.
func (e *Error) Hint() string { return e.Next }

// excerptLength keeps a quoted line within one line of a terminal.
const excerptLength = 100

// excerpt returns the beginning of a line, printable.
func excerpt(line []byte) string {
	cut := line
	if len(cut) > excerptLength {
		cut = cut[:excerptLength]
	}
	text := strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f || r == 0xfffd {
			return '?'
		}
		return r
	}, strings.ReplaceAll(string(cut), "\t", "  "))
	if len(cut) < len(line) {
		text += "..."
	}
	return text
}

// numbered shows the fields of a row with the numbers that options use.
func numbered(fields [][]byte) string {
	var b strings.Builder
	for i, f := range fields {
		if i > 0 {
			b.WriteString("  ")
		}
		fmt.Fprintf(&b, "%d=%s", i+1, excerpt(trim(f)))
	}
	return b.String()
}
