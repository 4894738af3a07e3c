package sheet

import (
	"fmt"

	"arctally/acquire/quantity"
	"arctally/analyze/inspect"
)

// machiningView is one final measurement of the bore.
type machiningView struct {
	Title, CleanedUp, Unit, DepthUnit string
	Lines                             []string
	Stations                          []stationLine
}

type stationLine struct{ Depth, Angle, Diameter string }

// machiningViews are the measurements that stand; one that was corrected is named.
func (s *Sheet) machiningViews() (views []machiningView) {
	for k := range s.book.Machinings {
		kept := &s.book.Machinings[k]
		title := fmt.Sprintf("Entry %d, by %s, %s", kept.Number, kept.By, kept.At.UTC().Format(entryTime))
		if kept.CorrectedBy != 0 {
			views = append(views, machiningView{Title: title, CleanedUp: fmt.Sprintf("Entry %d took the place of this one.", kept.CorrectedBy)})
			continue
		}
		views = append(views, s.machiningView(title, kept.Machining))
	}
	return views
}

func (s *Sheet) machiningView(title string, m *inspect.Machining) machiningView {
	set := s.units.set()
	v := machiningView{Title: title, CleanedUp: cleanedUpWords(m), Unit: set.bore, DepthUnit: set.length, Lines: []string{s.sizeLine(m)}}
	doubt := "not known"
	if m.Expanded != nil {
		doubt = quantity.Text(*m.Expanded, set.bore, s.units.fine()) + " (k = 2)"
	}
	v.Lines = append(v.Lines, fmt.Sprintf("Measured with: %s. Expanded uncertainty of a diameter: %s.", orDash(m.Instrument), doubt))
	if m.Remark != "" {
		v.Lines = append(v.Lines, "Remark: "+m.Remark)
	}
	for _, at := range m.Stations {
		v.Stations = append(v.Stations, stationLine{
			digits(in(&at.Depth, set.length), set.depth), digits(plain(&at.Angle), 0), digits(in(&at.Diameter, set.bore), s.units.fine()),
		})
	}
	return v
}

// machinedWords are a final measurement in one sentence.
func (s *Sheet) machinedWords(m *inspect.Machining) string {
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
	set := s.units.set()
	return "Diameters " + sizeText(m, size, func(d quantity.Metres) string { return quantity.Text(d, set.bore, s.units.fine()) }) + "."
}
