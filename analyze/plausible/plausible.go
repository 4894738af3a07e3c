// Package plausible knows what is usual of every quantity that a person types in, so
// that a slip of the finger is challenged before it becomes a record.
//
// Terms. A band is what is usual of one quantity, with its reason. A doubt is a value
// outside of its band. Who means it says so again on purpose, by naming the quantity
// and the value; then it is kept, and the record says so. A band bars nothing: what
// cannot be at all is refused where it is read.
//
// Errors: *UnsureError carries doubts that nobody has said again on purpose.
package plausible

import (
	"fmt"
	"slices"
	"strings"

	"arctally/acquire/quantity"
)

// Band is what is usual of one quantity.
type Band struct {
	What      string  // its name where it is typed: bore.worn_diameter, meter.voltage.reading
	Low, High float64 // SI unit of the quantity; both are usual
	Usual     string  // the same in words: "20 to 1500 mm"
	Why       string
	Source    string
	unit      string // the usual one of the quantity: what tells one kind from another
}

// row makes a row of the table, from a window as people write it.
func row[Q quantity.Quantity](what, window, why string) Band {
	r, err := quantity.ParseRange[Q](window)
	if err != nil || !r.HasLow || !r.HasHigh {
		panic(fmt.Sprintf("plausible: the band of %s: %s: %v", what, window, err))
	}
	return Band{what, float64(r.Low), float64(r.High), strings.Replace(window, "..", " to ", 1), why, ours, quantity.Units[Q]()[0]}
}

// Find returns the band of a quantity; false where the table has none of that kind.
func Find[Q quantity.Quantity](what string) (Band, bool) {
	b, ok := byName[what]
	return b, ok && b.unit == quantity.Units[Q]()[0]
}

// byName is the table for looking things up in.
var byName = func() map[string]Band {
	bands := map[string]Band{}
	for _, b := range Bands {
		if _, twice := bands[b.What]; twice {
			panic("plausible: two bands of " + b.What)
		}
		bands[b.What] = b
	}
	return bands
}()

// In makes a narrower band of a quantity that follows from the job at hand.
func In[Q quantity.Quantity](what string, low, high Q, unit, why string) Band {
	return Band{what, float64(low), float64(high), strings.TrimSuffix(quantity.Plainly(low, unit), " "+unit) + " to " + quantity.Plainly(high, unit), why, ours, quantity.Units[Q]()[0]}
}

// Doubt is a value outside of what is usual.
type Doubt struct {
	Field string // where it was typed in
	Value string // as it was typed: "9 m"
	Usual string // "20 to 1500 mm"
	Why   string
	Place string // file, line and column; empty where it was typed on the line or on a page
}

// Check returns the doubt about a value of a field; nil where its band has it. Where the
// point in what was typed may as well part thousands, and the band has that number too,
// nobody can tell which is meant: that is a doubt as well.
func Check[Q quantity.Quantity](b Band, field string, value Q, typed string) *Doubt {
	typed = strings.TrimSpace(typed)
	d := &Doubt{Field: field, Value: typed, Usual: b.Usual, Why: b.Why}
	other, may := quantity.MayBeThousands[Q](typed)
	switch {
	case !b.has(float64(value)):
		return d
	case may && b.has(float64(other)):
		d.Why = fmt.Sprintf("its point may part thousands, %s, and either number is usual here", strings.Replace(typed, ".", "", 1))
		return d
	default:
		return nil
	}
}

// dust is what the arithmetic of units may put onto a limit; ours, no source.
const dust = 1e-9

// has tells whether a value lies in the band; what is not a number does not.
func (b Band) has(value float64) bool {
	slack := dust * max(-b.Low, b.High)
	return value >= b.Low-slack && value <= b.High+slack
}

// Sentence says what is doubted of the value, and why.
func (d *Doubt) Sentence() string {
	return fmt.Sprintf("%s is outside of what is usual, %s: %s", d.Value, d.Usual, d.Why)
}

// Sure is what a person says to keep the value: it names the field and the value.
func (d *Doubt) Sure() string { return d.Field + " " + d.Value }

// Kept is what a record says of a value that was kept on purpose.
func (d *Doubt) Kept() string {
	return fmt.Sprintf("kept on purpose: %s, where %s is usual", d.Sure(), d.Usual)
}

// UnsureError is doubts that nobody has said again on purpose.
type UnsureError struct {
	Doubts []*Doubt
	How    string // how to keep them
}

// Error returns one line for each doubt, with its place where it has one.
func (e *UnsureError) Error() string {
	lines := make([]string, len(e.Doubts))
	for k, d := range e.Doubts {
		lines[k] = d.Field + ": " + d.Sentence()
		if d.Place != "" {
			lines[k] = d.Place + ": " + lines[k]
		}
	}
	return strings.Join(lines, "\n")
}

// Hint says what to do about it.
func (e *UnsureError) Hint() string { return "mend it, or say it again on purpose: " + e.How }

// Settle holds doubts against what a person says again on purpose, each as Sure has
// it. Kept are the doubts that are said again; the error is an *UnsureError with the
// others, or about a word that keeps nothing. How tells how to keep one of them.
func Settle(doubts []*Doubt, sure []string, how func(*Doubt) string) (kept []*Doubt, err error) {
	var open []*Doubt
	used := make([]bool, len(sure))
	for _, d := range doubts {
		k := slices.IndexFunc(sure, func(said string) bool { return plain(said) == plain(d.Sure()) })
		if k < 0 {
			open = append(open, d)
			continue
		}
		used[k] = true
		kept = append(kept, d)
	}
	if len(open) > 0 {
		ways := make([]string, len(open))
		for k, d := range open {
			ways[k] = how(d)
		}
		return nil, &UnsureError{open, strings.Join(ways, " ")}
	}
	if k := slices.Index(used, false); k >= 0 {
		return nil, &IdleError{sure[k]}
	}
	return kept, nil
}

// plain takes the blanks out of what was said, so that "9m" is "9 m".
func plain(said string) string { return strings.Join(strings.Fields(said), "") }

// IdleError is something said again on purpose that nobody doubts.
type IdleError struct{ Said string }

// Error implements error.
func (e *IdleError) Error() string {
	return fmt.Sprintf("%q is said again on purpose, and nothing of it is doubted", e.Said)
}

// Hint says what to do.
func (e *IdleError) Hint() string { return "leave it out, or write the value as it stands" }

// KeptWords is what a record says of all that was kept on purpose; empty for nothing.
func KeptWords(kept []*Doubt) string {
	words := make([]string, len(kept))
	for k, d := range kept {
		words[k] = d.Kept()
	}
	return strings.Join(words, "; ")
}
