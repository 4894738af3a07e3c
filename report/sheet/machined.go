package sheet

import (
	"fmt"

	"arctally/acquire/quantity"
	"arctally/analyze/inspect"
)

// sizeText says what the diameters come to, and how they stand to what is wanted.
func sizeText(m *inspect.Machining, size *inspect.Size, text func(quantity.Metres) string) string {
	words := fmt.Sprintf("from %s to %s", text(size.Least.Diameter), text(size.Greatest.Diameter))
	if out := size.OutOfRound(); out != nil {
		words += "; out of round by " + text(*out)
	}
	if size.Taper != nil {
		words += "; taper " + text(*size.Taper)
	}
	if w := m.Wanted; !w.IsZero() {
		words += "; wanted " + wantedText(w, text) + ": " + sizeVerdict(size, text)
	}
	return words
}

func wantedText(w quantity.Range[quantity.Metres], text func(quantity.Metres) string) string {
	switch {
	case !w.HasLow:
		return "at most " + text(w.High)
	case !w.HasHigh:
		return "at least " + text(w.Low)
	default:
		return text(w.Low) + " to " + text(w.High)
	}
}

// sizeVerdict never says more than the uncertainty lets it.
func sizeVerdict(size *inspect.Size, text func(quantity.Metres) string) string {
	switch {
	case size.Verdict != "":
		return string(size.Verdict)
	case size.Beyond != 0:
		return "out by " + text(size.Beyond) + " as measured; no uncertainty is on record"
	default:
		return "inside as measured; no uncertainty is on record, so that it proves nothing"
	}
}

// MachiningView is one final measurement of the bore.
type MachiningView struct {
	Title, CleanedUp, Unit, DepthUnit string
	Lines                             []string
	Stations                          []stationLine
}

type stationLine struct{ Depth, Angle, Diameter string }

func (s *Sheet) MachiningView(title string, m *inspect.Machining) MachiningView {
	set := s.Units.Set()
	v := MachiningView{Title: title, CleanedUp: cleanedUpWords(m), Unit: set.Bore, DepthUnit: set.Length, Lines: []string{s.sizeLine(m)}}
	doubt := "not known"
	if m.Expanded != nil {
		doubt = quantity.Text(*m.Expanded, set.Bore, s.Units.fine()) + " (k = 2)"
	}
	v.Lines = append(v.Lines, fmt.Sprintf("Measured with: %s. Expanded uncertainty of a diameter: %s.", OrDash(m.Instrument), doubt))
	if m.Remark != "" {
		v.Lines = append(v.Lines, "Remark: "+m.Remark)
	}
	for _, at := range m.Stations {
		v.Stations = append(v.Stations, stationLine{
			Digits(In(&at.Depth, set.Length), set.DepthDigits), Digits(Plain(&at.Angle), 0), Digits(In(&at.Diameter, set.Bore), s.Units.fine()),
		})
	}
	return v
}

// MachinedWords are a final measurement in one sentence.
func (s *Sheet) MachinedWords(m *inspect.Machining) string {
	return cleanedUpWords(m) + " " + s.sizeLine(m)
}

func cleanedUpWords(m *inspect.Machining) string {
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

// sizeLine says what the stations come to. The program compares; it accepts nothing.
func (s *Sheet) sizeLine(m *inspect.Machining) string {
	size := m.Size()
	if size == nil {
		return "No diameter is on record."
	}
	set := s.Units.Set()
	return "Diameters " + sizeText(m, size, func(d quantity.Metres) string { return quantity.Text(d, set.Bore, s.Units.fine()) }) + "."
}
