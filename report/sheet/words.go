package sheet

import (
	"fmt"
	"strings"

	"arctally/analyze/heat"
	"arctally/analyze/procedure"
)

func (s *Sheet) arcEnergyRules() bool {
	return s.job.Procedure.Judge.Definition == procedure.ArcEnergy
}

// definition says in one line which number the limits are about.
func (s *Sheet) definition() string {
	if s.arcEnergyRules() {
		return "arc energy E = W/s per length of bead (the heat input of the American codes)"
	}
	return "heat input Q = k*E, k for the process (EN 1011-1); E = W/s is the arc energy"
}

// tally counts the verdicts of a job.
type tally struct{ within, near, nearOut, outside, unjudged int }

func (s *Sheet) tally() tally {
	var t tally
	for i := range s.passes {
		switch s.passes[i].Verdict {
		case heat.Within:
			t.within++
		case heat.WithinNearLimit:
			t.near++
		case heat.OutsideNearLimit:
			t.nearOut++
		case heat.Outside:
			t.outside++
		default:
			t.unjudged++
		}
	}
	return t
}

// headline is the job in one sentence. It flags; it never accepts.
func (s *Sheet) headline() string {
	t := s.tally()
	switch {
	case len(s.passes) == 0:
		return "No pass was found in this record."
	case t.outside+t.nearOut > 0:
		return fmt.Sprintf("%s of %d outside the heat input window.", plural(t.outside+t.nearOut, "pass", "passes"), len(s.passes))
	case s.openFindings() > 0:
		return fmt.Sprintf("%s to inspect.", plural(s.openFindings(), "finding", "findings"))
	case t.unjudged == len(s.passes):
		return "No pass could be judged for heat input."
	case t.unjudged > 0:
		return fmt.Sprintf("%s of %d could not be judged for heat input.", plural(t.unjudged, "pass", "passes"), len(s.passes))
	case t.near > 0:
		return fmt.Sprintf("All passes inside the heat input window, %d of them closer to a limit than the guard band.", t.near)
	case len(s.findings) > 0:
		return "All passes inside the heat input window; no finding is open."
	default:
		return "All passes inside the heat input window; no finding."
	}
}

// findingsLine says who closes a finding.
func (s *Sheet) findingsLine() string {
	open, decided := s.openFindings(), s.decided()
	switch {
	case len(s.findings) == 0 && open == 0:
		return "No finding. Whether the repair is accepted, a person decides."
	case open == 0:
		return "Every finding has a disposition, and none is open. Whether the repair is accepted, a person decides."
	case decided > 0:
		return fmt.Sprintf("%s; %d of %d have a disposition that closes them. The program flags; it never accepts.",
			plural(open, "finding is open", "findings are open"), decided, len(s.findings))
	}
	return plural(open, "finding is open", "findings are open") +
		" until a person records a disposition. The program flags; it never accepts."
}

// decided counts the findings of this judgement that a person has closed.
func (s *Sheet) decided() (closed int) {
	for k := range s.book.Findings {
		if !s.book.Findings[k].State.IsOpen() {
			closed++
		}
	}
	return closed
}

func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// bases lists what the power and the travel of the passes rest on.
func (s *Sheet) bases() (power, travel string) {
	powers, travels := newCounter(), newCounter()
	for i := range s.passes {
		row := s.passes[i].row()
		powers.add(row.PowerBasis)
		travels.add(row.TravelBasis)
	}
	return powers.String(), travels.String()
}

// counter counts words in the order of their first appearance.
type counter struct {
	words []string
	count map[string]int
}

func newCounter() *counter { return &counter{count: map[string]int{}} }

func (c *counter) add(w *string) {
	text := "not known"
	if w != nil {
		text = *w
	}
	if c.count[text] == 0 {
		c.words = append(c.words, text)
	}
	c.count[text]++
}

// String is the word alone where all agree.
func (c *counter) String() string {
	if len(c.words) == 1 {
		return c.words[0]
	}
	parts := make([]string, len(c.words))
	for i, w := range c.words {
		parts[i] = fmt.Sprintf("%s (%d)", w, c.count[w])
	}
	return strings.Join(parts, ", ")
}
