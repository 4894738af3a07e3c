package paper

import (
	"fmt"
	"io"

	"arctally/analyze/compare"
	"arctally/report/draw"
	"arctally/report/sheet"
)

// comparisonView is the page that draws a comparison, ready to print.
type comparisonView struct {
	Title, Job, Record, Headline, Rule, This, Reference, Note string
	Parts                                                     []string
	Strips                                                    []*draw.ComparisonStrip
}

// Comparison draws a comparison into one file that loads nothing and runs no script.
func Comparison(w io.Writer, s *sheet.Sheet, c *compare.Comparison) error {
	v := comparisonView{
		Title: fmt.Sprintf("Pass %d laid over %s", c.Pass, c.Name()), Job: sheet.OrDash(s.Job.Name), Record: sheet.OrDash(s.Record),
		Headline: sheet.ComparisonHeadline(c), Rule: sheet.ComparisonRule(c), This: fmt.Sprintf("pass %d", c.Pass), Reference: c.Name(), Note: comparisonWay(c),
	}
	for _, p := range c.Parts {
		v.Parts = append(v.Parts, p.Sentence)
	}
	for _, ch := range sheet.ComparedChannels {
		if strip := draw.NewComparisonStrip(c, ch); strip != nil {
			v.Strips = append(v.Strips, strip)
		}
	}
	if err := weldRecord.ExecuteTemplate(w, "overlay.html", v); err != nil {
		return fmt.Errorf("write comparison: %w", err)
	}
	return nil
}

func comparisonWay(c *compare.Comparison) string {
	if c.Way == compare.ArcTime {
		return "Along the arc time from the start of each pass, because the angle is not known."
	}
	return "Along the turns of the layer: the fraction of a turn is the angle from the reference mark."
}
