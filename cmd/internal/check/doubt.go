package check

import (
	"strings"

	"arctally/acquire/calib"
	"arctally/acquire/quantity"
	"arctally/analyze/plausible"
	"arctally/cmd/internal/pairs"
)

// doubtOutcomes holds what a check comes to against what is usual.
func doubtOutcomes(in *pairs.Input, c *calib.Check) {
	for _, o := range c.Outcomes {
		switch {
		case o.Name == "gain":
			doubtOutcome(in, "check.gain", o.Name, quantity.Ratio(o.Value), "", 3)
		case strings.HasPrefix(o.Name, "beyond_"):
			doubtOutcome(in, "check.beyond", o.Name, quantity.Ratio(o.Value/100), "%", 0)
		}
	}
}

func doubtOutcome(in *pairs.Input, what, name string, value quantity.Ratio, unit string, decimals int) {
	band, known := plausible.Find[quantity.Ratio](what)
	if !known {
		panic("check: nobody says what is usual of " + what)
	}
	usual := quantity.Range[quantity.Ratio]{Low: quantity.Ratio(band.Low), High: quantity.Ratio(band.High), HasLow: true, HasHigh: true}
	in.Doubt(plausible.Check(band, name, value, quantity.TextOutside(value, usual, unit, decimals)))
}
