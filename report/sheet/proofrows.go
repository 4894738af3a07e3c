package sheet

import (
	"io"

	"arctally/analyze/proof"
)

// ProofRow is the proof of one pass; null is not known.
type ProofRow struct {
	Number      int             `json:"number"`
	Layer       *int            `json:"layer"`
	Proved      bool            `json:"proved"`
	Verdict     *string         `json:"verdict"`
	Value       *float64        `json:"value_kj_per_mm"` // heat input or arc energy, as the definition says
	Expanded    *float64        `json:"expanded_uncertainty_kj_per_mm"`
	Conformity  *float64        `json:"probability_of_conformity"`
	Area        *float64        `json:"area_mm2"`
	Share       *float64        `json:"share_of_bore"`
	Reasons     []ReasonRow     `json:"reasons"`
	Remarks     []ReasonRow     `json:"remarks"`
	Uncertainty *UncertaintyRow `json:"uncertainty"`
	Simulated   *SimulatedRow   `json:"simulated,omitempty"`
}

// ReasonRow says why a pass is not proved, or what it rests on.
type ReasonRow struct {
	Kind string `json:"kind"`
	Text string `json:"text"`
}

// SimulatedRow is the check of a pass after JCGM 101.
type SimulatedRow struct {
	Draws    int      `json:"draws"`
	Share    float64  `json:"share"` // of the draws between low and high
	Mean     *float64 `json:"mean_kj_per_mm"`
	Standard *float64 `json:"standard_uncertainty_kj_per_mm"`
	Low      *float64 `json:"low_kj_per_mm"`
	High     *float64 `json:"high_kj_per_mm"`
}

// LayerRow is how much of the bore a layer covers; shares are of its area.
type LayerRow struct {
	Layer   int      `json:"layer"`
	Area    *float64 `json:"area_mm2"`
	Planned float64  `json:"planned_share"`
	Laid    float64  `json:"laid_share"`
	Proved  float64  `json:"proved_share"`
}

// MissingRow is one reason and the passes that it keeps from being proved.
type MissingRow struct {
	Kind   string `json:"kind"`
	Passes []int  `json:"passes"`
	Remedy string `json:"remedy"`
}

// ProofList is the object of "prove --json".
type ProofList struct {
	Record     string       `json:"record"`
	Job        string       `json:"job"`
	Procedure  string       `json:"procedure"`
	Definition string       `json:"definition"`
	Claim      string       `json:"claim"`
	Rule       string       `json:"decision_rule"`
	Proved     bool         `json:"proved"` // every pass, and there is one
	InAll      int          `json:"passes_in_all"`
	ProvedOnes int          `json:"passes_proved"`
	Laid       *float64     `json:"laid_mm2"`
	ProvedArea *float64     `json:"proved_mm2"`
	Passes     []ProofRow   `json:"passes"`
	Layers     []LayerRow   `json:"layers"`
	Missing    []MissingRow `json:"missing"`
	Note       string       `json:"note"`
}

// ProofJSON writes the proof as JSON, in full precision.
func (s *Sheet) ProofJSON(w io.Writer, check Simulation) error {
	p := &s.Proof
	list := ProofList{
		Record: s.Record, Job: s.Job.Name, Procedure: s.Job.Procedure.Name, Definition: string(s.Job.Procedure.Judge.Definition),
		Claim: p.Claim, Rule: p.Rule, Proved: p.Whole(), InAll: len(p.Passes), ProvedOnes: p.Proved,
		Laid: In(p.Laid, "mm2"), ProvedArea: In(p.ProvedArea, "mm2"), Note: NoClause,
		Passes: make([]ProofRow, 0, len(p.Passes)), Layers: make([]LayerRow, 0, len(p.Layers)), Missing: make([]MissingRow, 0, len(p.Missing)),
	}
	for k := range p.Passes {
		list.Passes = append(list.Passes, proofRow(s, k, check))
	}
	for _, l := range p.Layers {
		list.Layers = append(list.Layers, LayerRow{l.Layer, In(&l.Area, "mm2"), float64(l.Planned), float64(l.Laid), float64(l.Proved)})
	}
	for _, m := range p.Missing {
		list.Missing = append(list.Missing, MissingRow{string(m.Kind), m.Passes, m.Remedy})
	}
	return writeJSON(w, list)
}

func proofRow(s *Sheet, k int, check Simulation) ProofRow {
	p := &s.Proof.Passes[k]
	row := ProofRow{
		Number: p.Number, Layer: positive(p.Layer), Proved: p.Proved, Verdict: word(string(p.Verdict)),
		Value: In(p.Value, "kJ/mm"), Expanded: In(p.Expanded, "kJ/mm"), Conformity: Finite(p.Conformity),
		Area: In(p.Area, "mm2"), Share: Plain(p.Share),
		Reasons: reasonRows(p.Reasons), Remarks: reasonRows(p.Remarks), Uncertainty: s.uncertaintyRow(k),
	}
	if !check {
		return row
	}
	if drawn := s.Simulate(k); drawn != nil {
		row.Simulated = &SimulatedRow{
			Draws: drawn.Draws, Share: SimulatedShare, Mean: In(&drawn.Mean, "kJ/mm"), Standard: In(&drawn.Standard, "kJ/mm"),
			Low: In(&drawn.Low, "kJ/mm"), High: In(&drawn.High, "kJ/mm"),
		}
	}
	return row
}

func reasonRows(all []proof.Reason) []ReasonRow {
	rows := make([]ReasonRow, 0, len(all))
	for _, r := range all {
		rows = append(rows, ReasonRow{string(r.Kind), r.Text})
	}
	return rows
}
