package sheet

import (
	"arctally/acquire/quantity"
)

// CourseRow says how a pass stands in the order that the pattern plans; null is
// not known, or none.
type CourseRow struct {
	State          string   `json:"state"` // complete, interrupted or cut
	PlannedTurns   *float64 `json:"planned_turns"`
	Turned         *float64 `json:"turned"`
	Resumes        *int     `json:"resumes"`         // the pass that this one goes on with
	Repeats        *int     `json:"repeats"`         // the pass that this one goes over again
	Off            *float64 `json:"off_deg"`         // ahead of where that one stopped; below 0 is welded over
	MissingStrokes int      `json:"missing_strokes"` // before this one, against the plan
	Extra          bool     `json:"extra_stroke"`    // one more than the plan has
	Against        bool     `json:"against"`         // on the way that a one-way pattern returns cold
}

// AtStartRow is what held as a pass began.
type AtStartRow struct {
	Temperature      *float64 `json:"temperature_c"`
	TemperatureBasis *string  `json:"temperature_basis"` // measured, or typed in by a name
	GasFlow          *float64 `json:"gas_flow_l_min"`
	GasFlowBasis     *string  `json:"gas_flow_basis"`
}

// course is nil where the pattern's plan does not tell.
func (p *Pass) course() *CourseRow {
	c := &p.Course
	if c.State == "" {
		return nil
	}
	return &CourseRow{
		State: string(c.State), PlannedTurns: Known(c.Planned), Turned: Known(c.Turned), Resumes: positive(c.Resumes),
		Repeats: positive(c.Repeats), Off: Plain(c.Off), MissingStrokes: c.Missing, Extra: c.Extra, Against: c.Against,
	}
}

// atStart is nil where nothing is known.
func (p *Pass) atStart() *AtStartRow {
	t, g := p.AtStart.Temperature, p.AtStart.GasFlow
	if t == nil && g == nil {
		return nil
	}
	row := new(AtStartRow)
	if t != nil {
		row.Temperature, row.TemperatureBasis = Known(quantity.In(t.Value, "degC")), word(readingBasis(t.By))
	}
	if g != nil {
		row.GasFlow, row.GasFlowBasis = Known(quantity.In(g.Value, "L/min")), word(readingBasis(g.By))
	}
	return row
}

// readingBasis says who or what brought a reading.
func readingBasis(by string) string {
	if by == "" {
		return "measured"
	}
	return "typed in by " + by
}
