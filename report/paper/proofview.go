package paper

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"arctally/analyze/heat"
	"arctally/analyze/proof"
	"arctally/report/sheet"
)

// proofView is the section of the weld record that says what is proved.
type proofView struct {
	Sign, Summary, Claim, Rule, Note string
	Unit                             string
	Passes                           []proofLine
	Reasons, Remarks                 []string // why not, and what it rests on, with the passes
	Layers, Missing                  []string
	Budget                           *budgetView
}

// proofLine is one pass of the proof.
type proofLine struct {
	Number, Value, Expanded, Chance, Covers string
	Sign, Proved                            string
}

func newProofView(s *sheet.Sheet) proofView {
	set := s.Units.Set()
	v := proofView{
		Unit: set.Heat,
		Sign: sheet.SignUnjudged, Summary: s.ProofSummary(), Claim: s.Proof.Claim, Rule: s.Proof.Rule, Note: sheet.NoClause,
		Layers: s.LayerLines(), Budget: newBudgetView(s),
	}
	if s.Proof.Whole() {
		v.Sign = sheet.SignWithin
	}
	for k := range s.Proof.Passes {
		p := &s.Proof.Passes[k]
		line := proofLine{
			Number: strconv.Itoa(p.Number), Value: sheet.Digits(sheet.In(p.Value, set.Heat), set.HeatDigits), Expanded: plusMinus(sheet.Digits(sheet.In(p.Expanded, set.Heat), set.HeatDigits)),
			Chance: sheet.Chance(p.Conformity), Covers: sheet.Digits(sheet.In(p.Share, "%"), 1), Sign: sheet.SignUnjudged, Proved: sheet.ProvedWord(p.Proved),
		}
		if p.Proved {
			line.Sign = sheet.SignWithin
		}
		v.Passes = append(v.Passes, line)
	}
	v.Reasons = byPasses(s, func(p *proof.OfPass) []proof.Reason { return p.Reasons })
	v.Remarks = byPasses(s, func(p *proof.OfPass) []proof.Reason { return p.Remarks })
	v.Missing = s.MissingLines()
	return v
}

// byPasses says each thing once, and of which passes it is said.
func byPasses(s *sheet.Sheet, of func(*proof.OfPass) []proof.Reason) (lines []string) {
	var texts []string
	numbers := map[string][]int{}
	for k := range s.Proof.Passes {
		p := &s.Proof.Passes[k]
		for _, r := range of(p) {
			if numbers[r.Text] == nil {
				texts = append(texts, r.Text)
			}
			numbers[r.Text] = append(numbers[r.Text], p.Number)
		}
	}
	for _, text := range texts {
		which := sheet.PassNumbers(numbers[text])
		lines = append(lines, strings.ToUpper(which[:1])+which[1:]+": "+text)
	}
	return lines
}

// budgetView is the uncertainty budget of one pass.
type budgetView struct {
	Title, Sum string
	Lines      []budgetLine
}

type budgetLine struct{ Name, Uncertainty, Share, Distribution, Freedom, Basis, Source string }

// newBudgetView shows the pass that is known least, relative to its heat input;
// those of the others are in the JSON. It is nil where no pass has a budget.
func newBudgetView(s *sheet.Sheet) *budgetView {
	worst := -1
	for k := range s.Passes {
		if s.Passes[k].Budget != nil && (worst < 0 || s.Passes[k].Budget.Combined() > s.Passes[worst].Budget.Combined()) {
			worst = k
		}
	}
	if worst < 0 {
		return nil
	}
	b := s.Passes[worst].Budget
	v := &budgetView{
		Title: fmt.Sprintf("Uncertainty budget of pass %d, the one that is known least", s.Passes[worst].Number),
		Sum: fmt.Sprintf("Combined: u = %.2f %% of the heat input, U = k*u = %.2f %% with k = %d. %s", 100*b.Combined(),
			100*heat.CoverageFactor*b.Combined(), heat.CoverageFactor, freedomText(b.Freedom())),
	}
	for k, c := range b {
		v.Lines = append(v.Lines, budgetLine{
			Name: c.Name, Uncertainty: fmt.Sprintf("%.3f %%", 100*c.Uncertainty), Share: fmt.Sprintf("%.1f %%", 100*b.Contribution(k)),
			Distribution: string(c.Distribution), Freedom: sheet.Digits(sheet.Known(sheet.ZeroIsMany(c.Freedom)), 0), Basis: string(c.Basis), Source: c.Source,
		})
	}
	return v
}

func freedomText(freedom float64) string {
	if math.IsInf(freedom, 1) {
		return "No component is known to have few degrees of freedom."
	}
	return fmt.Sprintf("Effective degrees of freedom (Welch and Satterthwaite): %.1f, for which 95 %% would take k = %.2f.",
		freedom, heat.Coverage(0.95, freedom))
}
