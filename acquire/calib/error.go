package calib

import "fmt"

// Kind names what is wrong with the figures of a check; the list only grows at its end.
type Kind uint8

// The kinds of error.
const (
	TooFew       Kind = iota + 1 // fewer figures than the check needs
	Unpaired                     // two lists that belong together differ in length
	TooClose                     // the points do not span enough to tell a gain from an offset
	NegativeGain                 // the reading falls while the reference rises
	NotAtZero                    // the readings are far from zero
	Impossible                   // a figure that cannot be: no length, no time, not a number
	Scattered                    // the points do not lie on the line at all
)

var hints = [...]string{
	TooFew:       "take more readings, and give them all in one check",
	Unpaired:     "give one figure for each, in the same order",
	TooClose:     "take points farther apart: one low and one high in the range that is welded with",
	NegativeGain: "look for a sensor that is clipped on the wrong way round or leads that are swapped, and check again",
	NotAtZero:    "switch the power source off, and let the sensor settle",
	Impossible:   "mend the figure",
	Scattered:    "look for a loose lead or a figure in the wrong place, and check again",
}

// Error is a check whose figures do not allow what it is for.
type Error struct {
	Kind   Kind
	Check  Subject
	Detail string
}

// Error returns the check and what is wrong with it.
func (e *Error) Error() string { return fmt.Sprintf("check %s: %s", e.Check, e.Detail) }

// Hint says what to do.
func (e *Error) Hint() string { return hints[e.Kind] }

func fail(kind Kind, check Subject, format string, arg ...any) *Error {
	return &Error{Kind: kind, Check: check, Detail: fmt.Sprintf(format, arg...)}
}
