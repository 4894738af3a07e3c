package text

import (
	"fmt"
	"io"
	"strconv"

	"arctally/analyze/heat"
	"arctally/analyze/proof"
	"arctally/report/sheet"
)

// Proof writes the proof for a person: the claim, the rule, pass by pass,
// and what is missing.
func Proof(w io.Writer, s *sheet.Sheet, u sheet.Units, check sheet.Simulation) error {
	s = s.In(u)
	var p page
	p.head("proof of heat input", s)
	p.lines("claim: "+s.Proof.Claim, "rule: "+s.Proof.Rule)
	p.WriteString("\n")
	p.table(proofGrid(s, u, check), proofNotes(s, u, check)...)
	return p.writeTo(w, "proof")
}

func proofGrid(s *sheet.Sheet, u sheet.Units, check sheet.Simulation) *grid {
	set := u.Set()
	judged := "Q"
	if s.JudgesArcEnergy() {
		judged = "E"
	}
	g := &grid{columns: []column{
		{name: "pass"},
		{name: "layer"},
		{name: judged, unit: set.Heat.Name},
		{name: "±U", unit: set.Heat.Name},
		{name: "P(within)"},
		{name: "covers", unit: "%"},
		{name: "verdict", left: true},
		{name: "proved", left: true},
	}}
	if check {
		g.columns = append(g.columns, column{name: "simulated", unit: set.Heat.Name, left: true})
	}
	for k := range s.Proof.Passes {
		p := &s.Proof.Passes[k]
		cells := []string{
			strconv.Itoa(p.Number), sheet.Count(p.Layer), sheet.Show(p.Value, set.Heat), sheet.Show(p.Expanded, set.Heat),
			sheet.Chance(p.Conformity), sheet.Digits(sheet.In(p.Share, "%"), 1), sheet.VerdictOf(p.Verdict).Short, sheet.ProvedWord(p.Proved),
		}
		if check {
			cells = append(cells, simulatedText(s.Simulate(k), set.Heat.To(set.Heat.Digits+1)))
		}
		g.add(cells, proofLines(p)...)
	}
	return g
}

func simulatedText(drawn *heat.Simulated, unit sheet.Unit) string {
	if drawn == nil {
		return sheet.Dash
	}
	return sheet.Show(&drawn.Low, unit) + " to " + sheet.Show(&drawn.High, unit)
}

// proofLines are the reasons and remarks under a pass.
func proofLines(p *proof.OfPass) []string {
	var lines []string
	add := func(head string, all []proof.Reason) {
		for _, r := range all {
			for k, line := range wrap(head+r.Text, pageWidth-8) {
				if k > 0 {
					line = "  " + line
				}
				lines = append(lines, line)
			}
		}
	}
	add("not proved: ", p.Reasons)
	add("note: ", p.Remarks)
	return lines
}

func proofNotes(s *sheet.Sheet, u sheet.Units, check sheet.Simulation) []string {
	lines := []string{s.ProofSummary()}
	lines = append(lines, s.LayerLines(u)...)
	if line := s.BudgetLine(); line != "" {
		lines = append(lines, line)
	}
	for _, m := range s.Proof.Missing {
		lines = append(lines, fmt.Sprintf("missing: %s, %s: %s", sheet.Spaced(string(m.Kind)), sheet.PassNumbers(m.Passes), m.Remedy))
	}
	if check {
		lines = append(lines, fmt.Sprintf("simulated: the interval that holds %.2f %% of %d draws of everything that is not known (JCGM 101); "+
			"it checks value ± U, and the verdict rests on U", 100*sheet.SimulatedShare, sheet.SimulatedDraws))
	}
	return append(lines, sheet.NoClause)
}
