package sheet

import (
	"fmt"
	"strings"

	"arctally/acquire/quantity"
	"arctally/analyze/note"
	"arctally/analyze/pass"
)

// TypedRow is what a person typed in.
type TypedRow struct {
	By          string   `json:"by"`
	At          *string  `json:"at"`
	Epoch       int      `json:"epoch"` // with TickNS: when it held, dated or not
	TickNS      int64    `json:"tick_ns"`
	Temperature *float64 `json:"temperature_c"`
	GasFlow     *float64 `json:"gas_flow_l_min"`
	Text        *string  `json:"text"`
	EndOfPass   bool     `json:"end_of_pass,omitempty"`
	Passes      []int    `json:"passes"` // at whose start it stood
}

type typedEntry struct {
	note.Note
	at instant
}

func typedEntries(notes []note.Note, clock wallClock) (entries []typedEntry) {
	for _, n := range notes {
		n.Temperature, n.GasFlow = clone(n.Temperature), clone(n.GasFlow)
		entries = append(entries, typedEntry{n, clock.at(pass.Moment{Epoch: n.Epoch, Tick: n.Tick})})
	}
	return entries
}

func (s *Sheet) typedRows() (rows []TypedRow) {
	for k := range s.typed {
		n := &s.typed[k]
		rows = append(rows, TypedRow{
			By: n.By, At: n.at.rfc3339(), Epoch: n.Epoch, TickNS: n.Tick, Temperature: in(n.Temperature, "degC"),
			GasFlow: in(n.GasFlow, "L/min"), Text: word(n.Text), EndOfPass: n.EndOfPass, Passes: s.standsFor(k),
		})
	}
	return rows
}

// standsFor returns the passes at whose start the k-th value stood: it is the
// newest of its kind, by the same person, before them.
func (s *Sheet) standsFor(k int) (passes []int) {
	n := &s.typed[k]
	passes = []int{}
	for i := range s.passes {
		p := &s.passes[i]
		t, g := p.AtStart.Temperature, p.AtStart.GasFlow
		used := n.Temperature != nil && t != nil && t.By == n.By && t.Value == *n.Temperature ||
			n.GasFlow != nil && g != nil && g.By == n.By && g.Value == *n.GasFlow
		if used && s.newestBefore(k, p.Start) {
			passes = append(passes, p.Number)
		}
	}
	return passes
}

// newestBefore reports whether the k-th value is the last of its kind at a moment.
func (s *Sheet) newestBefore(k int, m pass.Moment) bool {
	before := func(n *typedEntry) bool { return n.Epoch < m.Epoch || n.Epoch == m.Epoch && n.Tick <= m.Tick }
	if !before(&s.typed[k]) {
		return false
	}
	for j := k + 1; j < len(s.typed); j++ {
		same := (s.typed[j].Temperature != nil) == (s.typed[k].Temperature != nil) && (s.typed[j].GasFlow != nil) == (s.typed[k].GasFlow != nil)
		if same && before(&s.typed[j]) {
			return false
		}
	}
	return true
}

// typedLine is one value on paper.
type typedLine struct{ What, When, By, For string }

func (s *Sheet) typedLines() (lines []typedLine) {
	for k := range s.typed {
		n := &s.typed[k]
		lines = append(lines, typedLine{n.Said(), strings.TrimSpace(n.at.date() + " " + n.at.clock()), n.By, s.typedFor(k)})
	}
	return lines
}

// typedFor says for which passes a value stands.
func (s *Sheet) typedFor(k int) string {
	if s.typed[k].Text != "" || s.typed[k].EndOfPass {
		return dash
	}
	passes := s.standsFor(k)
	switch len(passes) {
	case 0:
		return "no pass"
	case 1:
		return fmt.Sprintf("pass %d", passes[0])
	default:
		return "passes " + strings.Trim(strings.ReplaceAll(fmt.Sprint(passes), " ", ", "), "[]")
	}
}

// typedNotes are the lines below the pass table.
func (s *Sheet) typedNotes(u Units) (notes []string) {
	set := u.set()
	for i := range s.passes {
		p := &s.passes[i]
		var said []string
		if t := p.AtStart.Temperature; t != nil && t.By != "" {
			said = append(said, quantity.Text(t.Value, set.temperature, 0)+", typed in by "+t.By)
		}
		if g := p.AtStart.GasFlow; g != nil && g.By != "" {
			said = append(said, quantity.Text(g.Value, set.gas, 1)+", typed in by "+g.By)
		}
		if said != nil {
			notes = append(notes, fmt.Sprintf("start of pass %d: %s", p.Number, strings.Join(said, "; ")))
		}
	}
	for k := range s.typed {
		if n := &s.typed[k]; n.Text != "" || len(s.standsFor(k)) == 0 {
			notes = append(notes, fmt.Sprintf("typed in by %s, %s: %s", n.By, n.at.clock(), n.Said()))
		}
	}
	return notes
}
