package live

import (
	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/finding"
	"arctally/analyze/now"
	"arctally/analyze/procedure"
	"arctally/report/sheet"
)

// judgedWords name what the limits are about.
func (b *Board) judgedWords() string {
	if b.job.Procedure.Judge.Definition == procedure.ArcEnergy {
		return "arc energy"
	}
	return "heat input"
}

// judgedOf chooses what the limits are about.
func (b *Board) judgedOf(arcEnergy, heatInput *quantity.JoulesPerMetre) *quantity.JoulesPerMetre {
	if b.job.Procedure.Judge.Definition == procedure.ArcEnergy {
		return arcEnergy
	}
	return heatInput
}

func (b *Board) pass(s *now.Status) *Pass {
	if s.Pass == nil {
		return nil
	}
	return b.passOf(s.Pass, s.Forecast)
}

// passOf is a pass as far as it has come, with what it will come to.
func (b *Board) passOf(p *now.Progress, f *now.Forecast) *Pass {
	told := &Pass{
		Number: p.Number, Layer: counted(p.Layer), Pattern: word(p.Pattern), Elapsed: sheet.In(&p.SinceStart, "s"),
		ArcTime: sheet.In(&p.ArcTime, "s"), ArcOnRatio: sheet.Known(float64(p.ArcOnRatio)), Turns: plain(p.Turns), PlannedTurns: plain(p.PlannedTurns),
		Energy: sheet.In(&p.Energy, "J"), Judged: b.judgedWords(), Unit: heatUnit,
		Value: sheet.In(b.judgedOf(p.ArcEnergy, p.HeatInput), heatUnit), Expanded: sheet.In(p.ExpandedUncertainty, heatUnit),
		Verdict: word(p.Verdict), PowerBasis: word(p.PowerBasis.String()), TravelBasis: word(p.TravelBasis),
	}
	if p.PlannedArcOn > 0 {
		told.PlannedArcOn = sheet.Known(float64(p.PlannedArcOn))
	}
	told.Low, told.High = sheet.RangeEnds(b.job.Procedure.Limits.HeatInput, heatUnit)
	if f != nil {
		told.Forecast = &Forecast{Value: sheet.In(&f.Value, heatUnit), Remaining: sheet.In(&f.Remaining, "s"), State: marginOf(f.State)}
	}
	return told
}

func place(s *now.Status) *Place {
	if s.Where == nil {
		return nil
	}
	w := s.Where
	told := &Place{
		Turn: counted(w.Part), Turns: counted(w.Parts), Layer: counted(w.Layer), Layers: s.PlannedLayers,
		Angle: sheet.Known(float64(w.Angle)), Depth: sheet.In(&w.Depth, lengthUnit),
		AngleUncertainty: sheet.AngleUncertainty(&bore.Place{AngleUncertainty: w.AngleUncertainty}),
	}
	if s.Pass != nil {
		told.AngleBy = word(sheet.AngleBy(s.Pass.Rotation))
	}
	if w.Part > 0 && s.Pass != nil {
		told.TurnIs = new(turnOf(s.Pass.Pattern))
	}
	if s.PlannedLayers != nil && w.Layer > *s.PlannedLayers {
		told.Layers = nil // the plan had no such layer
	}
	if w.LayerDone != nil {
		told.LayerDone = sheet.Known(float64(*w.LayerDone))
	}
	return told
}

// turnOf is what one turn of a pattern is called.
func turnOf(p bore.Pattern) string {
	switch {
	case p.Stroked():
		return "stroke"
	case p == bore.Rings:
		return "ring"
	default:
		return "turn"
	}
}

func next(s *now.Status) *Next {
	if s.NextLayer == nil {
		return nil
	}
	n := s.NextLayer
	told := &Next{Layer: n.Layer, Diameter: declared(n.Diameter, lengthUnit), RPM: declared(n.Rotation, turnUnit)}
	told.LowRPM, told.HighRPM = sheet.RangeEnds(n.Window, turnUnit)
	if s.Layer != nil {
		told.PresentRPM = declared(s.Layer.Rotation, turnUnit)
	}
	return told
}

func deviations(open []finding.Open) []Deviation {
	told := []Deviation{}
	for _, d := range open {
		if d.Paused && !d.Certain {
			continue // the arc is out: nothing of it can be seen now
		}
		value, unit := sheet.Measured(d.Rule, d.Value)
		limit, _ := sheet.Measured(d.Rule, d.Limit)
		told = append(told, Deviation{
			Rule: string(d.Rule), Lasted: float64(d.Lasted), Value: value, Limit: limit, Unit: unit, Finding: d.Certain, Words: going(&d),
		})
	}
	return told
}
