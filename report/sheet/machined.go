package sheet

import (
	"fmt"

	"arctally/acquire/quantity"
	"arctally/analyze/inspect"
)

// Machined is a final measurement of the bore in words.
type Machined struct {
	CleanedUp string
	Lines     []string
	Stations  []MachinedStation
}

// MachinedStation is one diameter, in the units of the reader.
type MachinedStation struct{ Depth, Angle, Diameter string }

// MachinedIn puts a final measurement into words.
func MachinedIn(m *inspect.Machining, u Units) Machined {
	set, doubt := u.Set(), "not known"
	if m.Expanded != nil {
		doubt = Say(*m.Expanded, set.Fine) + " (k = 2)"
	}
	v := Machined{CleanedUp: cleanedUpText(m), Lines: []string{
		sizeLine(m, set.Fine),
		fmt.Sprintf("Measured with: %s. Expanded uncertainty of a diameter: %s.", OrDash(m.Instrument), doubt),
	}}
	if m.Remark != "" {
		v.Lines = append(v.Lines, "Remark: "+m.Remark)
	}
	for _, at := range m.Stations {
		v.Stations = append(v.Stations, MachinedStation{Show(&at.Depth, set.Depth), Digits(Plain(&at.Angle), 0), Show(&at.Diameter, set.Fine)})
	}
	return v
}

func cleanedUpText(m *inspect.Machining) string {
	switch m.CleanedUp {
	case inspect.AllRound:
		return "The cut cleaned up all round."
	case inspect.NotAllRound:
		if m.Where == "" {
			return "The cut did not clean up all round."
		}
		return "The cut did not clean up all round: " + m.Where + "."
	default:
		return "Whether the cut cleaned up, nobody said."
	}
}

// sizeLine says what the stations come to, and how they stand to what is wanted.
// The program compares; it accepts nothing.
func sizeLine(m *inspect.Machining, unit Unit) string {
	size := m.Size()
	if size == nil {
		return "No diameter is on record."
	}
	text := fmt.Sprintf("Diameters from %s to %s", Say(size.Least.Diameter, unit), Say(size.Greatest.Diameter, unit))
	if out := size.OutOfRound(); out != nil {
		text += "; out of round by " + Say(*out, unit)
	}
	if size.Taper != nil {
		text += "; taper " + Say(*size.Taper, unit)
	}
	if !m.Wanted.IsZero() {
		text += "; wanted " + wantedText(m.Wanted, unit) + ": " + sizeVerdict(size, unit)
	}
	return text + "."
}

func wantedText(w quantity.Range[quantity.Metres], unit Unit) string {
	switch {
	case !w.HasLow:
		return "at most " + Say(w.High, unit)
	case !w.HasHigh:
		return "at least " + Say(w.Low, unit)
	default:
		return Say(w.Low, unit) + " to " + Say(w.High, unit)
	}
}

// sizeVerdict never says more than the uncertainty lets it.
func sizeVerdict(size *inspect.Size, unit Unit) string {
	switch {
	case size.Verdict != "":
		return string(size.Verdict)
	case size.Beyond != 0:
		return "out by " + Say(size.Beyond, unit) + " as measured; no uncertainty is on record"
	default:
		return "inside as measured; no uncertainty is on record, so that it proves nothing"
	}
}
