package sheet

import (
	"fmt"
	"strings"
)

// Certificate is what a customer files of a job: whose it is, the bore before and after, and
// every truth about it. It certifies what is on record, and accepts nothing.
type Certificate struct {
	Whose  []CertificateRow
	What   []CertificateRow // the bore before welding, and the procedure
	Rows   []CertificateRow // what was done and what is open
	Truths Banner           // the worst first
}

// CertificateRow is one line of it; what nobody stated says so.
type CertificateRow struct {
	Name string
	Text string
}

const notStated = "not stated"

// Certificate returns what the first sheet of the paper says of the job.
func (s *Sheet) Certificate(u Units) Certificate {
	j := &s.Job
	wire := strings.Join(worded(j.Consumables.Wire, batch(j.Consumables.WireBatch)), ", ")
	gas := strings.Join(worded(j.Consumables.Gas, batch(j.Consumables.GasBatch)), ", ")
	return Certificate{
		Whose: []CertificateRow{
			{"Customer", stated(j.Customer.Name)},
			{"Order", stated(j.Customer.Order)},
			{"Machine", stated(j.Machine.Name)},
			{"Serial of the machine", stated(j.Machine.Serial)},
		},
		What: append(s.boreRows(u), CertificateRow{"Procedure, revision", stated(strings.Join(worded(j.Procedure.Name, j.Procedure.Process), ", "))}),
		Rows: []CertificateRow{
			{"Bore after machining", s.afterText(u)},
			{"Wire; gas", stated(strings.Join(worded(wire, gas), "; "))},
			{"Laid", s.laidText()},
			{"Set-up checks", s.checksText()},
			{"What is open", s.openText(u)},
		},
		Truths: s.Banner(u),
	}
}

// boreRows are the bore before and after; a plate has none.
func (s *Sheet) boreRows(u Units) []CertificateRow {
	if s.onPlate() {
		return []CertificateRow{{"Bore", "none: a bead on a plate"}}
	}
	b, set := &s.Job.Bore, u.Set()
	orNot := func(text string) string {
		if text == "" {
			return notStated
		}
		return text
	}
	layers := 0
	for k := range s.Passes {
		layers = max(layers, s.Passes[k].Layer)
	}
	return []CertificateRow{
		{"Bore before, worn", orNot(ifDeclared(b.WornDiameter, set.Bore))},
		{"Welded to, as planned", orNot(ifDeclared(b.WeldToDiameter, set.Bore)) + "; " + Plural(layers, "layer", "layers") + " laid"},
		{"To be finished to", orNot(ifDeclared(b.FinishDiameter, set.Bore))},
	}
}

// afterText says what was measured after machining, and how it stands to the drawing.
func (s *Sheet) afterText(u Units) string {
	kept := s.Book.Machining()
	if s.onPlate() {
		return "a bead on a plate has none"
	}
	if kept == nil {
		return "not measured: no final measurement is on record"
	}
	return fmt.Sprintf("%s Measured by %s, %s.", sizeLine(kept.Machining, u.Set().Fine), OrDash(kept.Who()), Minute(kept.At))
}

func (s *Sheet) laidText() string {
	if len(s.Passes) == 0 {
		return "no pass was found in this record"
	}
	return Plural(len(s.Passes), "pass", "passes") + ", " + arcSpan(s.Passes)
}

// checksText says which set-up checks there are, and which are missing.
func (s *Sheet) checksText() string {
	text := "none on record"
	if n := len(s.Checks); n > 0 {
		text = fmt.Sprintf("%d on record", n)
	}
	for k := range s.Warnings {
		switch w := &s.Warnings[k]; w.Kind {
		case "no-check":
			_, which, _ := strings.Cut(w.Text, ": ")
			text += "; missing when the passes were laid: " + which
		case "overdue":
			text += "; " + w.Text
		}
	}
	return text
}

// openText names every event on which somebody has still to decide.
func (s *Sheet) openText(u Units) string {
	var open []string
	for k := range s.Events {
		if e := &s.Events[k]; e.State.IsOpen() {
			open = append(open, fmt.Sprintf("event %d, %s (%s, %s)", e.Number, e.Cause, e.Where(u), e.State))
		}
	}
	for k := range s.Book.Orphans {
		if item := &s.Book.Orphans[k]; item.State.IsOpen() {
			open = append(open, fmt.Sprintf("former finding %d, %s", item.Of.Number, Spaced(string(item.Of.Rule))))
		}
	}
	if len(open) == 0 {
		return "nothing"
	}
	return strings.Join(open, "; ")
}

func stated(text string) string {
	if text = strings.TrimSpace(text); text != "" {
		return text
	}
	return notStated
}

// worded are the texts that have words.
func worded(texts ...string) (some []string) {
	for _, text := range texts {
		if strings.TrimSpace(text) != "" {
			some = append(some, strings.TrimSpace(text))
		}
	}
	return some
}

func batch(name string) string {
	if name == "" {
		return ""
	}
	return "batch " + name
}
