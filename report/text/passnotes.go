package text

import (
	"fmt"
	"strings"

	"arctally/analyze/heat"
	"arctally/analyze/pass"
	"arctally/report/sheet"
)

// basisMark is what the travel speed rests on, in one letter.
func basisMark(basis *string) string {
	if basis == nil {
		return sheet.Dash
	}
	switch heat.TravelBasis(*basis) {
	case heat.TravelMeasured:
		return "m"
	case heat.TravelDerived:
		return "r"
	case heat.TravelDeclared:
		return "d"
	default:
		return *basis
	}
}

// courseMarks are the signs behind the turns of a pass, and what they stand for.
var courseMarks = []struct {
	sign, words string
	holds       func(*pass.Course) bool
}{
	{"i", "stopped short", func(c *pass.Course) bool { return c.State == pass.Interrupted }},
	{"c", "cut off by the end of the samples", func(c *pass.Course) bool { return c.State == pass.Cut }},
	{"r", "goes on with an earlier pass", func(c *pass.Course) bool { return c.Resumes > 0 }},
	{"o", "goes over an earlier pass again", func(c *pass.Course) bool { return c.Repeats > 0 }},
	{"m", "strokes missing before it", func(c *pass.Course) bool { return c.Missing > 0 }},
	{"b", "arc on the cold way back", func(c *pass.Course) bool { return c.Against }},
	{"x", "one stroke too many", func(c *pass.Course) bool { return c.Extra }},
}

// courseMark is empty for a pass as planned.
func courseMark(p *sheet.Pass) string {
	mark := ""
	for _, m := range courseMarks {
		if m.holds(&p.Course) {
			mark += m.sign
		}
	}
	return mark
}

// courseNotes explain the marks that stand in the table.
func courseNotes(s *sheet.Sheet) []string {
	var used []string
	for _, m := range courseMarks {
		for i := range s.Passes {
			if m.holds(&s.Passes[i].Course) {
				used = append(used, m.sign+" "+m.words)
				break
			}
		}
	}
	if used == nil {
		return nil
	}
	return []string{"turns: " + strings.Join(used, ", ")}
}

// transferNotes say how the metal went over to the pool, where that is known.
func transferNotes(s *sheet.Sheet) []string {
	var said []string
	for _, b := range s.Transfers() {
		said = append(said, b.Text())
	}
	if said == nil {
		return nil
	}
	return []string{"transfer: " + strings.Join(said, "; ")}
}

// typedNotes are the lines below the pass table.
func typedNotes(s *sheet.Sheet, u sheet.Units) (notes []string) {
	set := u.Set()
	for i := range s.Passes {
		p := &s.Passes[i]
		var said []string
		if t := p.AtStart.Temperature; t != nil && t.By != "" {
			said = append(said, sheet.Say(t.Value, set.Temperature)+", typed in by "+t.By)
		}
		if g := p.AtStart.GasFlow; g != nil && g.By != "" {
			said = append(said, sheet.Say(g.Value, set.GasFlow)+", typed in by "+g.By)
		}
		if said != nil {
			notes = append(notes, fmt.Sprintf("start of pass %d: %s", p.Number, strings.Join(said, "; ")))
		}
	}
	for k := range s.Typed {
		if n := &s.Typed[k]; n.Text != "" || len(s.StandsFor(k)) == 0 {
			notes = append(notes, fmt.Sprintf("typed in by %s, %s: %s", n.By, n.Held.Clock(), n.SaidFor(u)))
		}
	}
	return notes
}
