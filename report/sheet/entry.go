package sheet

import (
	"arctally/acquire/series"
	"arctally/analyze/bore"
)

func (p *passEntry) row() PassRow {
	return PassRow{
		Number: p.Number, Layer: positive(p.Layer), Pattern: word(string(p.Pattern)),
		Start: p.start.rfc3339(), End: p.end.rfc3339(),
		Epoch: p.Pass.Start.Epoch, StartTick: p.Pass.Start.Tick, EndTick: p.Pass.End.Tick,
		Elapsed: plain(&p.Elapsed), ArcTime: plain(&p.ArcTime), GapTime: plain(&p.GapTime),
		ArcOnRatio: p.arcOnRatio(), PlannedArcOn: p.plannedArcOn(),
		VoltageMean: plain(p.VoltageMean), CurrentMean: plain(p.CurrentMean), PowerMean: plain(p.PowerMean),
		PowerBasis: p.powerBasis(), Energy: p.energy(),
		Wire: plain(p.Wire), Deposit: in(p.Deposit, "g"),
		Turns: number(p.Turns), Travel: in(p.Travel, "mm"),
		TravelSpeed: in(p.TravelSpeed, "mm/min"), TravelBasis: p.travelBasis(),
		ArcEnergy: in(p.ArcEnergy, "kJ/mm"), HeatInput: in(p.HeatInput, "kJ/mm"),
		ExpandedUncertainty: in(p.ExpandedUncertainty, "kJ/mm"),
		Verdict:             word(string(p.Verdict)), Findings: p.Findings,
		EndedBy: p.EndedBy, Course: p.course(), AtStart: p.atStart(), Waveform: p.waveform(), Rotation: rotationRow(p.Rotation),
	}
}

func (s *Sheet) findingRow(k int) FindingRow {
	f, item := &s.findings[k], &s.book.Findings[k]
	m := measureOf(f.Rule, Metric)
	angle, depth := placeOf(f.Place)
	return FindingRow{
		Number: f.Number, Rule: string(f.Rule), Pass: f.Pass, Layer: positive(f.Layer),
		Angle: angle, Depth: depth,
		Start: f.start.rfc3339(), Epoch: f.Start.Epoch, TickNS: f.Start.Tick,
		Duration: plain(&f.Duration),
		Worst:    known(m.from(f.Worst)), Limit: known(m.from(f.Limit)), Beyond: m.span(f.Beyond),
		Parts: f.Parts, PartOf: f.PartOf,
		Unit: m.unit, Sentence: f.Sentence, State: string(item.State), Disposition: dispositionRow(item),
	}
}

func (s *Sheet) warningRows() []WarningRow {
	rows := make([]WarningRow, 0, len(s.warnings))
	for _, w := range s.warnings {
		rows = append(rows, WarningRow{
			Kind: w.Kind, Pass: positive(w.Warning.Pass),
			Start: w.start.rfc3339(), End: w.end.rfc3339(), Count: w.Count, Text: w.Text,
		})
	}
	return rows
}

func placeOf(p *bore.Place) (angle, depth *float64) {
	if p == nil {
		return nil, nil
	}
	return plain(&p.Angle), in(&p.Depth, "mm")
}

// arcOnRatio is not known of a pass that took no time.
func (p *passEntry) arcOnRatio() *float64 {
	if p.Elapsed <= 0 {
		return nil
	}
	return plain(&p.ArcOnRatio)
}

func (p *passEntry) plannedArcOn() *float64 {
	if p.PlannedArcOn == 0 {
		return nil
	}
	return plain(&p.PlannedArcOn)
}

// energy is not known where there was no power to sum.
func (p *passEntry) energy() *float64 {
	if p.PowerMean == nil && p.Energy == 0 {
		return nil
	}
	return plain(&p.Energy)
}

func (p *passEntry) powerBasis() *string {
	if p.PowerBasis == series.BasisUnknown {
		return nil
	}
	return word(p.PowerBasis.String())
}

// travelBasis says nothing about a travel that is not there.
func (p *passEntry) travelBasis() *string {
	if p.TravelSpeed == nil && p.Travel == nil {
		return nil
	}
	return word(string(p.TravelBasis))
}

func positive(n int) *int {
	if n <= 0 {
		return nil
	}
	return &n
}

func word(text string) *string {
	if text == "" {
		return nil
	}
	return &text
}

func number(v *float64) *float64 {
	if v == nil {
		return nil
	}
	return known(*v)
}
