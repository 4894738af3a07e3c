package paper

import (
	"fmt"
	"html/template"
	"io"

	"arctally/analyze/compare"
	"arctally/report/draw"
	"arctally/report/sheet"
)

// comparisonPage is the page that draws a comparison.
type comparisonPage struct {
	Title, Job, Record, Headline, Rule, Way string
	Patterns                                []template.HTML
	Sentences                               []string
	Keys                                    []draw.Key
	Figures                                 []draw.Figure
}

// Comparison draws a comparison into one file that loads nothing and runs no script.
func Comparison(w io.Writer, s *sheet.Sheet, u sheet.Units, c *compare.Comparison) error {
	p := comparisonPage{
		Title: fmt.Sprintf("Pass %d laid over %s", c.Pass, c.Name()), Job: sheet.OrDash(s.Job.Name), Record: sheet.OrDash(s.Record),
		Headline: sheet.ComparisonHeadline(c), Rule: sheet.ComparisonRule(c, u),
		Way:      "Along the turns of the layer: the fraction of a turn is the angle from the reference mark.",
		Patterns: draw.Patterns("apart"), Keys: draw.ComparisonKeys(c), Figures: draw.Comparison(c, u),
	}
	if c.Way == compare.ArcTime {
		p.Way = "Along the arc time from the start of each pass, because the angle is not known."
	}
	for _, one := range c.Departures {
		p.Sentences = append(p.Sentences, u.Words(one.Sentence))
	}
	if err := writePage(w, "comparison.html", p); err != nil {
		return fmt.Errorf("write comparison: %w", err)
	}
	return nil
}
