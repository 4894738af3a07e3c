package sheet

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"arctally/analyze/proof"
	"arctally/analyze/heat"
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

func (s *Sheet) proofView() proofView {
	set := s.units.set()
	v := proofView{
		Unit: set.heat,
		Sign: signUnjudged, Summary: s.proofSummary(), Claim: s.proof.Claim, Rule: s.proof.Rule, Note: noClause,
		Layers: s.layerLines(), Budget: s.budgetView(),
	}
	if s.proof.Whole() {
		v.Sign = signWithin
	}
	for k := range s.proof.Passes {
		p := &s.proof.Passes[k]
		line := proofLine{
			Number: strconv.Itoa(p.Number), Value: digits(in(p.Value, set.heat), set.heatDigits), Expanded: plusMinus(digits(in(p.Expanded, set.heat), set.heatDigits)),
			Chance: chance(p.Conformity), Covers: digits(in(p.Share, "%"), 1), Sign: signUnjudged, Proved: provedWord(p.Proved),
		}
		if p.Proved {
			line.Sign = signWithin
		}
		v.Passes = append(v.Passes, line)
	}
	v.Reasons = s.byPasses(func(p *proof.OfPass) []proof.Reason { return p.Reasons })
	v.Remarks = s.byPasses(func(p *proof.OfPass) []proof.Reason { return p.Remarks })
	for _, m := range s.proof.Missing {
		v.Missing = append(v.Missing, fmt.Sprintf("%s (%s): %s", spaced(string(m.Kind)), passNumbers(m.Passes), m.Remedy))
	}
	return v
}

// byPasses says each thing once, and of which passes it is said.
func (s *Sheet) byPasses(of func(*proof.OfPass) []proof.Reason) (lines []string) {
	var texts []string
	numbers := map[string][]int{}
	for k := range s.proof.Passes {
		p := &s.proof.Passes[k]
		for _, r := range of(p) {
			if numbers[r.Text] == nil {
				texts = append(texts, r.Text)
			}
			numbers[r.Text] = append(numbers[r.Text], p.Number)
		}
	}
	for _, text := range texts {
		which := passNumbers(numbers[text])
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

// budgetView shows the pass that is known least, relative to its heat input;
// those of the others are in the JSON. It is nil where no pass has a budget.
func (s *Sheet) budgetView() *budgetView {
	worst := -1
	for k := range s.passes {
		if s.passes[k].Budget != nil && (worst < 0 || s.passes[k].Budget.Combined() > s.passes[worst].Budget.Combined()) {
			worst = k
		}
	}
	if worst < 0 {
		return nil
	}
	b := s.passes[worst].Budget
	v := &budgetView{
		Title: fmt.Sprintf("Uncertainty budget of pass %d, the one that is known least", s.passes[worst].Number),
		Sum: fmt.Sprintf("Combined: u = %.2f %% of the heat input, U = k*u = %.2f %% with k = %d. %s", 100*b.Combined(),
			100*heat.CoverageFactor*b.Combined(), heat.CoverageFactor, freedomText(b.Freedom())),
	}
	for k, c := range b {
		v.Lines = append(v.Lines, budgetLine{
			Name: c.Name, Uncertainty: fmt.Sprintf("%.3f %%", 100*c.Uncertainty), Share: fmt.Sprintf("%.1f %%", 100*b.Contribution(k)),
			Distribution: string(c.Distribution), Freedom: digits(known(zeroIsMany(c.Freedom)), 0), Basis: string(c.Basis), Source: c.Source,
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
