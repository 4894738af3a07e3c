package paper

import (
	"fmt"
	"strconv"

	"arctally/acquire/quantity"
	"arctally/analyze/pass"
	"arctally/analyze/plan"
	"arctally/report/sheet"
)

func (r *record) window() *section {
	t := &table{Class: "window", Columns: append(lefts("Quantity", "Window", "Set to", "Pass values, lowest to highest"), right("Findings"))}
	for _, w := range r.Window(r.units) {
		one := named(w.Quantity, w.Window, w.SetTo, w.Seen, strconv.Itoa(w.Findings))
		one.Cells[4][0].Stressed = w.Findings > 0
		t.Rows = append(t.Rows, one)
	}
	s := &section{Heading: "Procedure window", blocks: []block{t, note(r.judgeRule())}}
	return s.all()
}

// judgeRule states the decision rule, which must stand with every verdict.
func (r *record) judgeRule() string {
	j := r.Job.Procedure.Judge
	return fmt.Sprintf("Verdicts hold the number and its expanded uncertainty U (k = 2) against the window: "+
		"within and outside mean by more than the guard band of %s U; closer than that, the verdict says so. "+
		"A channel deviates when its mean over %s has been out of its limits for longer than %s; single samples are never judged.",
		strconv.FormatFloat(j.GuardBand, 'g', -1, 64), quantity.Text(j.AverageOver, "s", 2), quantity.Text(j.Dwell, "s", 2))
}

// planDone holds what was planned against what was done, in short. It plans the job
// anew: a plan is a function of the job alone.
func (r *record) planDone() *section {
	s := &section{Heading: "Planned and done"}
	made, err := plan.Make(&r.Job, plan.Options{})
	if err != nil {
		s.blocks = append(s.blocks, sentence("No plan could be made of this job: "+err.Error()+"."))
	}
	layers, minutes := 0, sheet.Unit{Name: "min", Digits: 1}
	for i := range r.Passes {
		layers = max(layers, r.Passes[i].Layer)
	}
	planned := func(text func() string) string {
		if err != nil {
			return sheet.Dash
		}
		return text()
	}
	t := &table{Class: "window", Columns: lefts("Quantity", "Planned", "Done"), Rows: []row{
		named("Layers", planned(func() string { return sheet.Count(len(made.Layers)) }), sheet.Count(layers)),
		named("Arc time", planned(func() string { return sheet.Say(made.ArcTime, minutes) }),
			sum(r, minutes, func(p *pass.Pass) *quantity.Seconds { return &p.ArcTime })),
		named("Time of all passes", planned(func() string { return sheet.Say(made.Elapsed, minutes) }),
			sum(r, minutes, func(p *pass.Pass) *quantity.Seconds { return &p.Elapsed })),
		named("Wire", planned(func() string { return sheet.Say(made.Wire, r.set.Wire) }),
			sum(r, r.set.Wire, func(p *pass.Pass) *quantity.Metres { return p.Wire })),
		named("Metal laid", planned(func() string { return sheet.Say(made.Deposit, r.set.Metal) }),
			sum(r, r.set.Metal, func(p *pass.Pass) *quantity.Kilograms { return p.Deposit })),
	}}
	s.blocks = append(s.blocks, t, bullets{Items: r.LayerLines(r.units)})
	return s.all()
}

// sum adds a value of the passes up, and says where it is not known of all.
func sum[Q quantity.Quantity](r *record, unit sheet.Unit, value func(*pass.Pass) *Q) string {
	var sum Q
	known := 0
	for i := range r.Passes {
		if v := value(&r.Passes[i].Pass); v != nil {
			sum += *v
			known++
		}
	}
	switch {
	case known == 0:
		return "not known"
	case known < len(r.Passes):
		return fmt.Sprintf("%s, not known of %s", sheet.Say(sum, unit), sheet.Plural(len(r.Passes)-known, "pass", "passes"))
	default:
		return sheet.Say(sum, unit)
	}
}
