package recording

import (
	"fmt"

	"arctally/acquire/quantity"
	"arctally/analyze/pass"
)

// passLine is one pass in one line, for the moment at which it ends.
func passLine(p *pass.Pass) string {
	line := fmt.Sprintf("pass %d", p.Number)
	if p.Layer > 0 {
		line += fmt.Sprintf(", layer %d", p.Layer)
	}
	line += ": " + quantity.Text(p.ArcTime, "s", 1) + " of arc"
	if p.VoltageMean != nil && p.CurrentMean != nil {
		line += ", " + quantity.Text(*p.VoltageMean, "V", 1) + ", " + quantity.Text(*p.CurrentMean, "A", 0)
	}
	if p.Course.State == pass.Interrupted {
		line += fmt.Sprintf(", stopped after %.2f of %.2f turns", p.Course.Turned, p.Course.Planned)
	}
	if p.HeatInput != nil {
		line += ", heat input " + quantity.Text(*p.HeatInput, "kJ/mm", 3)
	}
	if p.Verdict != "" {
		line += ", " + string(p.Verdict)
	}
	if p.Findings > 0 {
		line += fmt.Sprintf(", %d to inspect", p.Findings)
	}
	return line
}
