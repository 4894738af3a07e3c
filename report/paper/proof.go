package paper

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"arctally/analyze/heat"
	"arctally/analyze/proof"
	"arctally/report/draw"
	"arctally/report/sheet"
)

func (r *record) proof() *section {
	whole := &r.Proof
	s := &section{Heading: "What the record proves", blocks: []block{
		headline{draw.Sign(provedSign(whole.Whole())), r.ProofSummary()}, sentence("Claim: " + whole.Claim + "."),
	}}
	if len(whole.Passes) > 0 {
		s.blocks = append(s.blocks, r.proofTable())
	}
	s.blocks = append(s.blocks, bulletsUnder("Why not", r.byPasses(func(p *proof.OfPass) []proof.Reason { return p.Reasons }))...)
	s.blocks = append(s.blocks, bulletsUnder("What would close it", r.MissingLines())...)
	s.blocks = append(s.blocks, bulletsUnder("What it rests on", r.byPasses(func(p *proof.OfPass) []proof.Reason { return p.Remarks }))...)
	rule := note("Rule: " + whole.Rule + ". " + sheet.NoClause)
	s.blocks = append(s.blocks, onPaper{rule}, r.budget(), onPage{rule})
	return s
}

func provedSign(proved bool) string {
	if proved {
		return sheet.SignWithin
	}
	return sheet.SignUnjudged
}

func (r *record) proofTable() *table {
	t := &table{Class: "proof", size: 8, narrow: true, Columns: []column{
		left("Pass"), right("Judged, " + r.set.Heat.Name), right("± U, " + r.set.Heat.Name), right("Probability within"), right("Covers, % of the bore"),
		left("Proved"),
	}}
	for k := range r.Proof.Passes {
		p := &r.Proof.Passes[k]
		one := named(strconv.Itoa(p.Number), sheet.Show(p.Value, r.set.Heat), plusMinus(sheet.Show(p.Expanded, r.set.Heat)), sheet.Chance(p.Conformity),
			sheet.Digits(sheet.In(p.Share, "%"), 1), sheet.ProvedWord(p.Proved))
		one.Cells[5][0].Mark = draw.Sign(provedSign(p.Proved))
		t.Rows = append(t.Rows, one)
	}
	return t
}

// byPasses says each thing once, and of which passes it is said.
func (r *record) byPasses(of func(*proof.OfPass) []proof.Reason) (lines []string) {
	var texts []string
	numbers := map[string][]int{}
	for k := range r.Proof.Passes {
		p := &r.Proof.Passes[k]
		for _, reason := range of(p) {
			if numbers[reason.Text] == nil {
				texts = append(texts, reason.Text)
			}
			numbers[reason.Text] = append(numbers[reason.Text], p.Number)
		}
	}
	for _, text := range texts {
		which := sheet.PassNumbers(numbers[text])
		lines = append(lines, strings.ToUpper(which[:1])+which[1:]+": "+text)
	}
	return lines
}

// budget shows the uncertainty budget of the pass that is known least, relative to its
// heat input; those of the others are in the JSON. It is empty where no pass has one.
func (r *record) budget() group {
	worst := r.LeastKnown()
	if worst < 0 {
		return nil
	}
	b := r.Passes[worst].Budget
	t := &table{Class: "budget", size: 8, Columns: []column{
		left("Component"), right("Standard uncertainty"), right("Share of variance"), left("Distribution"), right("Degrees of freedom"), left("Basis"), left("Source"),
	}}
	for k, c := range b {
		t.Rows = append(t.Rows, named(c.Name, fmt.Sprintf("%.3f %%", 100*c.Uncertainty), fmt.Sprintf("%.1f %%", 100*b.Contribution(k)),
			string(c.Distribution), sheet.Digits(sheet.KnownFreedom(c.Freedom), 0), string(c.Basis), c.Source))
	}
	return group{
		subheading(fmt.Sprintf("Uncertainty budget of pass %d, the one that is known least", r.Passes[worst].Number)), t,
		note(fmt.Sprintf("Combined: u = %.2f %% of the heat input, U = k*u = %.2f %% with k = %d. %s", 100*b.Combined(),
			100*heat.CoverageFactor*b.Combined(), heat.CoverageFactor, freedomText(b.Freedom()))),
	}
}

func freedomText(freedom float64) string {
	if math.IsInf(freedom, 1) {
		return "No component is known to have few degrees of freedom."
	}
	return fmt.Sprintf("Effective degrees of freedom (Welch and Satterthwaite): %.1f, for which 95 %% would take k = %.2f.",
		freedom, heat.Coverage(0.95, freedom))
}
