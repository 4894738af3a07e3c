// Package note knows what a person typed into a record, and when it held: a
// temperature beside the weld, a gas flow, a sentence, where the torch stood, or that
// a pass was over.
//
// A note stands in the record as an event of the kind remark, at the moment for
// which it holds. Its text can be read by people and by Parse:
//
//	typed in by "Operator 1": temperature 180 degC
//	typed in by "Operator 1": gas flow 15 L/min
//	typed in by "Operator 1": text "bottle changed"
//	typed in by "Operator 1": torch at 90 deg
//	typed in by "Operator 1": end of pass
//
// Names and sentences are quoted as in Go. One that is longer than is taken today is read
// shortened. Any other remark is no note.
package note

import (
	"fmt"
	"strconv"
	"strings"

	"arctally/acquire/foreign"
	"arctally/acquire/quantity"
	"arctally/acquire/series"
)

// Note is one value, or one sentence, or one decision, that a person typed in.
type Note struct {
	By    string // who
	Epoch int
	Tick  int64 // ns, when it held
	// One of these is set.
	Temperature *quantity.Celsius
	GasFlow     *quantity.CubicMetresPerSecond
	Text        string
	// TorchAt is the angle from the reference mark at which the torch stood then: at
	// least 0 and below 360 degrees.
	TorchAt *quantity.Degrees
	// EndOfPass ends the pass that is under way: at once where the arc is out, else
	// at the end of the arc interval. What is laid after it is another pass.
	EndOfPass bool
}

const (
	prefix      = "typed in by "
	temperature = ": temperature "
	gasFlow     = ": gas flow "
	text        = ": text "
	torchAt     = ": torch at "
	endOfPass   = ": end of pass"
)

// Event returns the note as it stands in a record. It panics where the note does
// not say who, says nothing, or has the torch stand at an angle beyond the circle.
func (n Note) Event() series.Event {
	if n.By == "" {
		panic("note: a note of nobody")
	}
	return series.Event{Kind: series.Remark, Epoch: n.Epoch, Tick: n.Tick, Until: n.Tick, Count: 1, Text: prefix + strconv.Quote(n.By) + n.said(strconv.Quote)}
}

// Said is what the note says, for a person: whole degrees of temperature, and a flow
// or an angle to a tenth.
// What was typed as 350 degF stands in the record as it is, and is said as 177 degC.
func (n Note) Said() string {
	switch {
	case n.Temperature != nil:
		return strings.TrimPrefix(temperature, ": ") + quantity.Text(*n.Temperature, "degC", 0)
	case n.GasFlow != nil:
		return strings.TrimPrefix(gasFlow, ": ") + toTenth(*n.GasFlow, "L/min")
	case n.TorchAt != nil:
		return strings.TrimPrefix(torchAt, ": ") + strings.Replace(toTenth(*n.TorchAt, "deg"), "360 ", "0 ", 1)
	default:
		return strings.TrimPrefix(strings.TrimPrefix(n.said(func(s string) string { return s }), text), ": ")
	}
}

func toTenth[Q quantity.Quantity](q Q, unit string) string {
	return strings.Replace(quantity.Text(q, unit, 1), ".0 ", " ", 1)
}

func (n Note) said(quoted func(string) string) string {
	switch {
	case n.Temperature != nil:
		return temperature + quantity.Text(*n.Temperature, "degC", -1)
	case n.GasFlow != nil:
		return gasFlow + quantity.Text(*n.GasFlow, "L/min", -1)
	case n.Text != "":
		return text + quoted(n.Text)
	case n.TorchAt != nil:
		if !onCircle(*n.TorchAt) {
			panic(fmt.Sprintf("note: the torch at %g degrees", *n.TorchAt))
		}
		return torchAt + quantity.Text(*n.TorchAt, "deg", -1)
	case n.EndOfPass:
		return endOfPass
	default:
		panic(fmt.Sprintf("note: %s says nothing", n.By))
	}
}

// Parse returns the note that an event holds; false where it holds none.
func Parse(e series.Event) (n Note, ok bool) {
	rest, found := strings.CutPrefix(e.Text, prefix)
	if e.Kind != series.Remark || !found {
		return n, false
	}
	by, rest, ok := unquote(rest)
	if !ok || by == "" {
		return n, false
	}
	n = Note{By: foreign.Shortened(by, foreign.LongestSigned), Epoch: e.Epoch, Tick: e.Tick}
	if rest == endOfPass {
		n.EndOfPass = true
		return n, true
	}
	if said, found := strings.CutPrefix(rest, text); found {
		said, rest, ok := unquote(said)
		n.Text = foreign.Shortened(said, foreign.LongestRemark)
		return n, ok && rest == "" && said != ""
	}
	if said, found := strings.CutPrefix(rest, temperature); found {
		n.Temperature, ok = parse[quantity.Celsius](said)
		return n, ok
	}
	if said, found := strings.CutPrefix(rest, gasFlow); found {
		n.GasFlow, ok = parse[quantity.CubicMetresPerSecond](said)
		return n, ok
	}
	if said, found := strings.CutPrefix(rest, torchAt); found {
		n.TorchAt, ok = parse[quantity.Degrees](said)
		return n, ok && onCircle(*n.TorchAt)
	}
	return n, false
}

func onCircle(angle quantity.Degrees) bool { return angle >= 0 && angle < 360 }

func parse[Q quantity.Quantity](said string) (*Q, bool) {
	q, err := quantity.Parse[Q](said)
	return &q, err == nil
}

// unquote takes a quoted word off the front.
func unquote(from string) (word, rest string, ok bool) {
	quoted, err := strconv.QuotedPrefix(from)
	if err != nil {
		return "", "", false
	}
	word, err = strconv.Unquote(quoted)
	return word, from[len(quoted):], err == nil
}
