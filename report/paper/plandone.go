package paper

import (
	"fmt"

	"arctally/acquire/quantity"
	"arctally/analyze/pass"
	"arctally/analyze/plan"
	"arctally/report/sheet"
)

// planDone holds what was planned against what was done, in short.
type planDone struct {
	Why    string // there is no plan
	Rows   []planDoneRow
	Layers []string
}

type planDoneRow struct{ Quantity, Planned, Done string }

// newPlanDone plans the job anew: a plan is a function of the job alone.
func newPlanDone(s *sheet.Sheet) planDone {
	v := planDone{Layers: s.LayerLines()}
	made, err := plan.Make(&s.Job, plan.Options{})
	if err != nil {
		v.Why = "No plan could be made of this job: " + err.Error() + "."
		made = nil
	}
	layers := 0
	for i := range s.Passes {
		layers = max(layers, s.Passes[i].Layer)
	}
	set := s.Units.PlanSet()
	v.Rows = []planDoneRow{
		{"Layers", planned(made, func(p *plan.Plan) string { return sheet.Count(len(p.Layers)) }), sheet.Count(layers)},
		{
			"Arc time", planned(made, func(p *plan.Plan) string { return quantity.Text(p.ArcTime, "min", 1) }),
			sumText(s, "min", 1, func(p *pass.Pass) *quantity.Seconds { return &p.ArcTime }),
		},
		{
			"Time of all passes", planned(made, func(p *plan.Plan) string { return quantity.Text(p.Elapsed, "min", 1) }),
			sumText(s, "min", 1, func(p *pass.Pass) *quantity.Seconds { return &p.Elapsed }),
		},
		{
			"Wire", planned(made, func(p *plan.Plan) string { return quantity.Text(p.Wire, set.Wire, set.WireDigits) }),
			sumText(s, set.Wire, set.WireDigits, func(p *pass.Pass) *quantity.Metres { return p.Wire }),
		},
		{
			"Metal laid", planned(made, func(p *plan.Plan) string { return quantity.Text(p.Deposit, set.Metal, set.MetalDigits) }),
			sumText(s, set.Metal, set.MetalDigits, func(p *pass.Pass) *quantity.Kilograms { return p.Deposit }),
		},
	}
	return v
}

func planned(p *plan.Plan, text func(*plan.Plan) string) string {
	if p == nil {
		return sheet.Dash
	}
	return text(p)
}

// sumText adds a value of the passes up, and says where it is not known of all.
func sumText[Q quantity.Quantity](s *sheet.Sheet, unit string, decimals int, value func(*pass.Pass) *Q) string {
	var sum Q
	known := 0
	for i := range s.Passes {
		if v := value(&s.Passes[i].Pass); v != nil {
			sum += *v
			known++
		}
	}
	switch {
	case known == 0:
		return "not known"
	case known < len(s.Passes):
		return fmt.Sprintf("%s, not known of %s", quantity.Text(sum, unit, decimals), sheet.Plural(len(s.Passes)-known, "pass", "passes"))
	default:
		return quantity.Text(sum, unit, decimals)
	}
}
