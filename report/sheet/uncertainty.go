package sheet

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"arctally/acquire/quantity"
	"arctally/analyze/heat"
)

// UncertaintyRow is what the uncertainty of the quantity that the procedure
// judges is made of; null is not known.
type UncertaintyRow struct {
	Of         string   `json:"of"` // "heat input" or "arc energy"
	Relative   *float64 `json:"relative_standard_uncertainty"`
	Standard   *float64 `json:"standard_uncertainty_kj_per_mm"`
	Expanded   *float64 `json:"expanded_uncertainty_kj_per_mm"`
	Factor     float64  `json:"coverage_factor"`
	Freedom    *float64 `json:"effective_degrees_of_freedom"` // null: not known to be few
	Factor95   float64  `json:"coverage_factor_for_95_percent"`
	GuardBand  *float64 `json:"guard_band_kj_per_mm"`
	Conformity *float64 `json:"probability_of_conformity"`

	Components []ComponentRow `json:"components"`
}

// ComponentRow is one reason why a heat input is not known better.
type ComponentRow struct {
	Name         string   `json:"name"`
	Relative     float64  `json:"relative_standard_uncertainty"` // share of the heat input
	Contribution float64  `json:"contribution"`                  // share of the combined variance
	Distribution string   `json:"distribution"`
	Freedom      *float64 `json:"degrees_of_freedom"`
	Basis        string   `json:"basis"` // measured, declared, stand-in
	Source       string   `json:"source"`
}

// uncertaintyRow is nil for a pass that has no budget.
func (s *Sheet) uncertaintyRow(k int) *UncertaintyRow {
	p, proof := &s.Passes[k], &s.Proof.Passes[k]
	if p.Budget == nil || proof.Expanded == nil {
		return nil
	}
	standard := p.Budget.Standard(*proof.Value)
	guard := quantity.JoulesPerMetre(s.Job.Procedure.Judge.GuardBand) * *proof.Expanded
	relative, freedom := p.Budget.Combined(), p.Budget.Freedom()
	row := &UncertaintyRow{
		Of: "heat input", Relative: Finite(&relative), Standard: In(&standard, "kJ/mm"), Expanded: In(proof.Expanded, "kJ/mm"),
		Factor: heat.CoverageFactor, Freedom: Known(freedom), Factor95: heat.Coverage(0.95, freedom),
		GuardBand: In(&guard, "kJ/mm"), Conformity: Finite(proof.Conformity),
		Components: make([]ComponentRow, 0, len(p.Budget)),
	}
	if s.JudgesArcEnergy() {
		row.Of = "arc energy"
	}
	for i, c := range p.Budget {
		row.Components = append(row.Components, ComponentRow{
			Name: c.Name, Relative: c.Uncertainty, Contribution: p.Budget.Contribution(i), Distribution: string(c.Distribution),
			Freedom: KnownFreedom(c.Freedom), Basis: string(c.Basis), Source: c.Source,
		})
	}
	return row
}

// LeastKnown is the number of the pass with the widest uncertainty relative to its heat
// input, in the order of the sheet; -1 where no pass has one.
func (s *Sheet) LeastKnown() int {
	worst := -1
	for k := range s.Passes {
		if s.Passes[k].Budget != nil && (worst < 0 || s.Passes[k].Budget.Combined() > s.Passes[worst].Budget.Combined()) {
			worst = k
		}
	}
	return worst
}

// BudgetLine names what the uncertainty of the pass that is known least is made of, the
// greatest first; it is empty where no pass has one.
func (s *Sheet) BudgetLine() string {
	worst := s.LeastKnown()
	if worst < 0 {
		return ""
	}
	b := s.Passes[worst].Budget
	order := make([]int, len(b))
	for k := range order {
		order[k] = k
	}
	slices.SortStableFunc(order, func(x, y int) int { return cmp.Compare(b.Contribution(y), b.Contribution(x)) })
	var parts []string
	for _, k := range order {
		if share := b.Contribution(k); share >= leastShare {
			parts = append(parts, fmt.Sprintf("%s %s", b[k].Name, quantity.Text(quantity.Ratio(share), "%", 0)))
		}
	}
	return fmt.Sprintf("U of pass %d, which is known least, is made of %s, as shares of the variance", s.Passes[worst].Number, strings.Join(parts, ", "))
}

// leastShare of the variance is worth a word.
const leastShare = 0.005

// KnownFreedom are degrees of freedom, nil where they are not known to be few.
func KnownFreedom(freedom float64) *float64 {
	if freedom == 0 {
		return nil
	}
	return Known(freedom)
}
