package sheet

import (
	"fmt"
	"strings"

	"arctally/acquire/quantity"
	"arctally/analyze/pass"
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
func (p *passEntry) course() *CourseRow {
	c := &p.Course
	if c.State == "" {
		return nil
	}
	return &CourseRow{
		State: string(c.State), PlannedTurns: known(c.Planned), Turned: known(c.Turned), Resumes: positive(c.Resumes),
		Repeats: positive(c.Repeats), Off: plain(c.Off), MissingStrokes: c.Missing, Extra: c.Extra, Against: c.Against,
	}
}

// courseMarks are the signs behind the turns of a pass, and what they stand for.
var courseMarks = []struct {
	sign, words string
	holds       func(*pass.Course) bool
}{
	{"i", "stopped short", func(c *pass.Course) bool { return c.State == pass.Interrupted }},
	{"c", "cut off by the end of the samples", func(c *pass.Course) bool { return c.State == pass.Cut }},
	{"r", "goes on with an earlier pass", func(c *pass.Course) bool { return c.Resumes > 0 }},
	{"o", "goes over an earlier pass again", func(c *pass.Course) bool { return c.Repeats > 0 }},
	{"m", "strokes missing before it", func(c *pass.Course) bool { return c.Missing > 0 }},
	{"b", "arc on the cold way back", func(c *pass.Course) bool { return c.Against }},
	{"x", "one stroke too many", func(c *pass.Course) bool { return c.Extra }},
}

// courseMark is empty for a pass as planned.
func (p *passEntry) courseMark() string {
	mark := ""
	for _, m := range courseMarks {
		if m.holds(&p.Course) {
			mark += m.sign
		}
	}
	return mark
}

// courseNotes explain the marks that stand in the table.
func (s *Sheet) courseNotes() []string {
	var used []string
	for _, m := range courseMarks {
		for i := range s.passes {
			if m.holds(&s.passes[i].Course) {
				used = append(used, m.sign+" "+m.words)
				break
			}
		}
	}
	if used == nil {
		return nil
	}
	return []string{"turns: " + strings.Join(used, ", ")}
}

// courseWords are for the printed table; empty for a pass as planned.
func (p *passEntry) courseWords() string {
	var words []string
	c := &p.Course
	switch c.State {
	case pass.Interrupted:
		words = append(words, fmt.Sprintf("short of %.2f", c.Planned))
	case pass.Cut:
		words = append(words, "cut off")
	}
	if c.Resumes > 0 {
		words = append(words, fmt.Sprintf("on with %d", c.Resumes))
	}
	if c.Repeats > 0 {
		words = append(words, fmt.Sprintf("over %d again", c.Repeats))
	}
	if c.Missing > 0 {
		words = append(words, plural(c.Missing, "stroke missing", "strokes missing"))
	}
	if c.Against {
		words = append(words, "way back")
	}
	if c.Extra {
		words = append(words, "one too many")
	}
	if p.EndedBy != "" {
		words = append(words, "ended by "+p.EndedBy)
	}
	if words == nil {
		return ""
	}
	return ", " + strings.Join(words, ", ")
}

// atStart is nil where nothing is known.
func (p *passEntry) atStart() *AtStartRow {
	t, g := p.AtStart.Temperature, p.AtStart.GasFlow
	if t == nil && g == nil {
		return nil
	}
	row := new(AtStartRow)
	if t != nil {
		row.Temperature, row.TemperatureBasis = known(quantity.In(t.Value, "degC")), word(readingBasis(t.By))
	}
	if g != nil {
		row.GasFlow, row.GasFlowBasis = known(quantity.In(g.Value, "L/min")), word(readingBasis(g.By))
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
