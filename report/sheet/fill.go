package sheet

import (
	"arctally/acquire/series"
)

func (p *Pass) row() PassRow {
	return PassRow{
		Number: p.Number, Layer: positive(p.Layer), Pattern: word(string(p.Pattern)),
		Start: p.Began.rfc3339(), End: p.Ended.rfc3339(),
		Epoch: p.Pass.Start.Epoch, StartTick: p.Pass.Start.Tick, EndTick: p.Pass.End.Tick,
		Elapsed: Plain(&p.Elapsed), ArcTime: Plain(&p.ArcTime), GapTime: Plain(&p.GapTime),
		ArcOnRatio: p.KnownArcOn(), PlannedArcOn: p.KnownPlan(),
		VoltageMean: Plain(p.VoltageMean), CurrentMean: Plain(p.CurrentMean), PowerMean: Plain(p.PowerMean),
		PowerBasis: p.KnownPowerBasis(), Energy: p.KnownEnergy(),
		Wire: Plain(p.Wire), Deposit: In(p.Deposit, "g"),
		Turns: Finite(p.Turns), Travel: In(p.Travel, "mm"),
		TravelSpeed: In(p.TravelSpeed, "mm/min"), TravelBasis: p.KnownTravelBasis(),
		ArcEnergy: In(p.ArcEnergy, "kJ/mm"), HeatInput: In(p.HeatInput, "kJ/mm"),
		ExpandedUncertainty: In(p.ExpandedUncertainty, "kJ/mm"),
		AngleUncertainty:    p.AngleUncertainty(), AngleBasis: word(string(p.Rotation.Angle)), AngleBy: word(p.AngleBy),
		Verdict: word(string(p.Verdict)), Findings: p.Findings,
		EndedBy: p.EndedBy, Course: p.course(), AtStart: p.atStart(), Waveform: p.WaveformRow(), Rotation: rotationRow(p.Rotation),
	}
}

func (s *Sheet) findingRow(k int) FindingRow {
	f, item := &s.Findings[k], &s.Book.Findings[k]
	m := MeasureOf(f.Rule, Metric)
	angle, depth := PlaceOf(f.Place)
	return FindingRow{
		Number: f.Number, Event: f.Event, Rule: string(f.Rule), Pass: f.Pass, Layer: positive(f.Layer),
		Angle: angle, AngleUncertainty: AngleUncertainty(f.Place), Depth: depth, Way: Plain(f.Way), Whole: f.Whole(),
		Start: f.Began.rfc3339(), Epoch: f.Start.Epoch, TickNS: f.Start.Tick,
		Duration: Plain(&f.Duration),
		Worst:    Known(m.From(f.Worst)), Limit: Known(m.From(f.Limit)), Beyond: m.Difference(f.Beyond),
		Parts: f.Parts, PartOf: f.PartOf,
		Unit: m.Name, Sentence: f.Sentence, State: string(item.State), Disposition: dispositionRow(item),
	}
}

func warningRows(warnings []Warning) []WarningRow {
	rows := make([]WarningRow, 0, len(warnings))
	for _, w := range warnings {
		rows = append(rows, WarningRow{
			Kind: w.Kind, Pass: positive(w.Warning.Pass),
			Start: w.Began.rfc3339(), End: w.Ended.rfc3339(), Count: w.Count, Text: w.Text,
		})
	}
	return rows
}

// KnownArcOn is not known of a pass that took no time.
func (p *Pass) KnownArcOn() *float64 {
	if p.Elapsed <= 0 {
		return nil
	}
	return Plain(&p.ArcOnRatio)
}

// KnownPlan is the arc-on ratio that the pattern plans, nil where it plans none.
func (p *Pass) KnownPlan() *float64 {
	if p.PlannedArcOn == 0 {
		return nil
	}
	return Plain(&p.PlannedArcOn)
}

// KnownEnergy is not known where there was no power to sum.
func (p *Pass) KnownEnergy() *float64 {
	if p.PowerMean == nil && p.Energy == 0 {
		return nil
	}
	return Plain(&p.Energy)
}

// KnownPowerBasis is nil where nothing is known of the power.
func (p *Pass) KnownPowerBasis() *string {
	if p.PowerBasis == series.BasisUnknown {
		return nil
	}
	return word(p.PowerBasis.String())
}

// KnownTravelBasis says nothing about a travel that is not there.
func (p *Pass) KnownTravelBasis() *string {
	if p.TravelSpeed == nil && p.Travel == nil {
		return nil
	}
	return word(string(p.TravelBasis))
}
