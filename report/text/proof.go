package text

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"arctally/analyze/heat"
	"arctally/analyze/proof"
	"arctally/report/sheet"
)

// Proof writes the proof for a person: the claim, the rule, pass by pass,
// and what is missing.
func Proof(w io.Writer, s *sheet.Sheet, check sheet.Simulation) error {
	var b strings.Builder
	fmt.Fprintf(&b, "proof of heat input: %s\nrecord %s, procedure %s, pattern %s\n\n", sheet.OrDash(s.Job.Name), sheet.OrDash(s.Record),
		sheet.OrDash(s.Job.Procedure.Name), sheet.OrDash(string(s.Job.Deposit.Pattern)))
	paragraph(&b, "claim: "+s.Proof.Claim)
	paragraph(&b, "rule: "+s.Proof.Rule)
	b.WriteString("\n")
	if err := proofGrid(s, check).writeTo(&b); err != nil {
		return fmt.Errorf("write proof: %w", err)
	}
	b.WriteString("\n")
	for _, line := range proofNotes(s, check) {
		paragraph(&b, line)
	}
	if _, err := io.WriteString(w, b.String()); err != nil {
		return fmt.Errorf("write proof: %w", err)
	}
	return nil
}

func paragraph(b *strings.Builder, text string) {
	b.WriteString(strings.Join(wrap(text, pageWidth), "\n  ") + "\n")
}

func proofGrid(s *sheet.Sheet, check sheet.Simulation) *grid {
	judged := "Q"
	if s.ArcEnergyRules() {
		judged = "E"
	}
	g := &grid{columns: []column{
		{name: "pass"},
		{name: "layer"},
		{name: judged, unit: "kJ/mm"},
		{name: "±U", unit: "kJ/mm"},
		{name: "P(within)"},
		{name: "covers", unit: "%"},
		{name: "verdict", left: true},
		{name: "proved", left: true},
	}}
	if check {
		g.columns = append(g.columns, column{name: "simulated", unit: "kJ/mm", left: true})
	}
	for k := range s.Proof.Passes {
		p := &s.Proof.Passes[k]
		cells := []string{
			strconv.Itoa(p.Number), sheet.Count(p.Layer), sheet.Digits(sheet.In(p.Value, "kJ/mm"), 3), sheet.Digits(sheet.In(p.Expanded, "kJ/mm"), 3),
			sheet.Chance(p.Conformity), sheet.Digits(sheet.In(p.Share, "%"), 1), sheet.ShortVerdict(p.Verdict), sheet.ProvedWord(p.Proved),
		}
		if check {
			cells = append(cells, simulatedText(s.Simulate(k)))
		}
		g.add(cells, proofLines(p)...)
	}
	return g
}

func simulatedText(drawn *heat.Simulated) string {
	if drawn == nil {
		return sheet.Dash
	}
	return sheet.Digits(sheet.In(&drawn.Low, "kJ/mm"), 4) + " to " + sheet.Digits(sheet.In(&drawn.High, "kJ/mm"), 4)
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

func proofNotes(s *sheet.Sheet, check sheet.Simulation) []string {
	lines := []string{s.ProofSummary()}
	lines = append(lines, s.LayerLines()...)
	for _, m := range s.Proof.Missing {
		lines = append(lines, fmt.Sprintf("missing: %s, %s: %s", m.Kind, sheet.PassNumbers(m.Passes), m.Remedy))
	}
	if check {
		lines = append(lines, fmt.Sprintf("simulated: the interval that holds %.2f %% of %d draws of everything that is not known (JCGM 101); "+
			"it checks value ± U, and the verdict rests on U", 100*sheet.SimulatedShare, sheet.SimulatedDraws))
	}
	return append(lines, sheet.NoClause)
}
