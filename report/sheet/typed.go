package sheet

import (
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
	TorchAt     *float64 `json:"torch_at_deg,omitempty"`
	EndOfPass   bool     `json:"end_of_pass,omitempty"`
	Passes      []int    `json:"passes"` // at whose start it stood
}

// Typed is what a person typed in, and when it held.
type Typed struct {
	note.Note
	Held Instant
}

// SaidFor is what the note says, in the units of a reader; a text stays as it was typed.
func (t *Typed) SaidFor(u Units) string {
	if t.Text != "" {
		return t.Said()
	}
	return u.Words(t.Said())
}

func typedIn(notes []note.Note, clock wallClock) (typed []Typed) {
	for _, n := range notes {
		n.Temperature, n.GasFlow, n.TorchAt = clone(n.Temperature), clone(n.GasFlow), clone(n.TorchAt)
		typed = append(typed, Typed{n, clock.at(pass.Moment{Epoch: n.Epoch, Tick: n.Tick})})
	}
	return typed
}

func (s *Sheet) typedRows() (rows []TypedRow) {
	for k := range s.Typed {
		n := &s.Typed[k]
		rows = append(rows, TypedRow{
			By: n.By, At: n.Held.rfc3339(), Epoch: n.Epoch, TickNS: n.Tick, Temperature: In(n.Temperature, "degC"),
			GasFlow: In(n.GasFlow, "L/min"), Text: word(n.Text), TorchAt: In(n.TorchAt, "deg"), EndOfPass: n.EndOfPass, Passes: s.StandsFor(k),
		})
	}
	return rows
}

// StandsFor returns the passes at whose start the k-th value stood: it is the
// newest of its kind, by the same person, before them.
func (s *Sheet) StandsFor(k int) (passes []int) {
	n := &s.Typed[k]
	passes = []int{}
	for i := range s.Passes {
		p := &s.Passes[i]
		t, g := p.AtStart.Temperature, p.AtStart.GasFlow
		used := n.Temperature != nil && t != nil && t.By == n.By && t.Value == *n.Temperature ||
			n.GasFlow != nil && g != nil && g.By == n.By && g.Value == *n.GasFlow
		if used && newestBefore(s.Typed, k, p.Start) {
			passes = append(passes, p.Number)
		}
	}
	return passes
}

// newestBefore reports whether the k-th value is the last of its kind at a moment.
func newestBefore(typed []Typed, k int, m pass.Moment) bool {
	before := func(n *Typed) bool { return n.Epoch < m.Epoch || n.Epoch == m.Epoch && n.Tick <= m.Tick }
	if !before(&typed[k]) {
		return false
	}
	for j := k + 1; j < len(typed); j++ {
		same := (typed[j].Temperature != nil) == (typed[k].Temperature != nil) && (typed[j].GasFlow != nil) == (typed[k].GasFlow != nil)
		if same && before(&typed[j]) {
			return false
		}
	}
	return true
}
