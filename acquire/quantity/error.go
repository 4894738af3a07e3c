package quantity

import (
	"fmt"
	"strconv"
	"strings"
)

// Error reports a text that is not the quantity it should be.
type Error struct {
	Text   string   // what was written
	Reason string   // what is wrong with it
	Units  []string // the units that would do
}

// Error returns one line that quotes the text and names the units.
func (e *Error) Error() string {
	return strconv.Quote(e.Text) + ": " + e.Reason
}

// fail returns an *Error about a text of a dimension.
func (d *dimension) fail(text, format string, arg ...any) *Error {
	return &Error{Text: text, Reason: fmt.Sprintf(format, arg...), Units: d.names()}
}

// choices lists the units as a sentence does: "V, mV or kV".
func (d *dimension) choices() string {
	names := d.names()
	if len(names) == 1 {
		return names[0]
	}
	last := len(names) - 1
	return strings.Join(names[:last], ", ") + " or " + names[last]
}

// whyNot tells why a unit does not do for the dimension.
func (d *dimension) whyNot(written string) string {
	if written == "" {
		return fmt.Sprintf("no unit; write %s", d.choices())
	}
	for _, other := range dimensions {
		if _, ok := other.find(written); ok {
			return fmt.Sprintf("%s is a unit of %s, not of %s; write %s", written, other.name, d.name, d.choices())
		}
	}
	return fmt.Sprintf("%q is not a unit of %s; write %s", written, d.name, d.choices())
}
