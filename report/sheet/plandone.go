package sheet

import (
	"fmt"

	"arctally/acquire/quantity"
	"arctally/analyze/pass"
	"arctally/analyze/plan"
)

// planDone holds what was planned against what was done, in short.
type planDone struct {
	Why    string // there is no plan
	Rows   []planDoneRow
	Layers []string
}

type planDoneRow struct{ Quantity, Planned, Done string }

// planDone plans the job anew: a plan is a function of the job alone.
func (s *Sheet) planDone() planDone {
	v := planDone{Layers: s.layerLines()}
	made, err := plan.Make(&s.job, plan.Options{})
	if err != nil {
		v.Why = "No plan could be made of this job: " + err.Error() + "."
		made = nil
	}
	layers := 0
	for i := range s.passes {
		layers = max(layers, s.passes[i].Layer)
	}
	set := s.units.planSet()
	v.Rows = []planDoneRow{
		{"Layers", planned(made, func(p *plan.Plan) string { return count(len(p.Layers)) }), count(layers)},
		{
			"Arc time", planned(made, func(p *plan.Plan) string { return quantity.Text(p.ArcTime, "min", 1) }),
			sumText(s, "min", 1, func(p *pass.Pass) *quantity.Seconds { return &p.ArcTime }),
		},
		{
			"Time of all passes", planned(made, func(p *plan.Plan) string { return quantity.Text(p.Elapsed, "min", 1) }),
			sumText(s, "min", 1, func(p *pass.Pass) *quantity.Seconds { return &p.Elapsed }),
		},
		{
			"Wire", planned(made, func(p *plan.Plan) string { return quantity.Text(p.Wire, set.wire, set.wireDigits) }),
			sumText(s, set.wire, set.wireDigits, func(p *pass.Pass) *quantity.Metres { return p.Wire }),
		},
		{
			"Metal laid", planned(made, func(p *plan.Plan) string { return quantity.Text(p.Deposit, set.metal, set.metalDigits) }),
			sumText(s, set.metal, set.metalDigits, func(p *pass.Pass) *quantity.Kilograms { return p.Deposit }),
		},
	}
	return v
}

func planned(p *plan.Plan, text func(*plan.Plan) string) string {
	if p == nil {
		return dash
	}
	return text(p)
}

// sumText adds a value of the passes up, and says where it is not known of all.
func sumText[Q quantity.Quantity](s *Sheet, unit string, decimals int, value func(*pass.Pass) *Q) string {
	var sum Q
	known := 0
	for i := range s.passes {
		if v := value(&s.passes[i].Pass); v != nil {
			sum += *v
			known++
		}
	}
	switch {
	case known == 0:
		return "not known"
	case known < len(s.passes):
		return fmt.Sprintf("%s, not known of %s", quantity.Text(sum, unit, decimals), plural(len(s.passes)-known, "pass", "passes"))
	default:
		return quantity.Text(sum, unit, decimals)
	}
}
