package sheet

import (
	"fmt"
	"strings"

	"arctally/analyze/procedure"
)

// SentenceFor is the sentence in the units of a reader.
func (f *Finding) SentenceFor(u Units) string { return u.Words(f.Sentence) }

// JudgesArcEnergy reports whether the procedure's limits are about E and not Q.
func (s *Sheet) JudgesArcEnergy() bool {
	return s.Job.Procedure.Judge.Definition == procedure.ArcEnergy
}

// JudgedName names the quantity that the limits are about.
func (s *Sheet) JudgedName() string {
	if s.JudgesArcEnergy() {
		return "Arc energy E"
	}
	return "Heat input Q = k*E"
}

// Definition says in one line which number the limits are about.
func (s *Sheet) Definition() string {
	if s.JudgesArcEnergy() {
		return "arc energy E = W/s per length of bead (the heat input of the American codes)"
	}
	return "heat input Q = k*E, k for the process (EN 1011-1); E = W/s is the arc energy"
}

// Headline is the job in one sentence. It flags; it never accepts.
func (s *Sheet) Headline() string {
	v, all := s.Verdicts(), len(s.Passes)
	out, unknown := v[outside].Passes+v[nearOut].Passes, v[unjudged].Passes
	switch open := s.Book.Open(); {
	case all == 0:
		return "No pass was found in this record."
	case out > 0:
		return fmt.Sprintf("%s of %d outside the heat input window.", Plural(out, "pass", "passes"), all)
	case open > 0:
		return fmt.Sprintf("%s to inspect%s.", Plural(open, "finding", "findings"), s.openEvents())
	case unknown == all:
		return "No pass could be judged for heat input."
	case unknown > 0:
		return fmt.Sprintf("%s of %d could not be judged for heat input.", Plural(unknown, "pass", "passes"), all)
	case v[near].Passes > 0:
		return fmt.Sprintf("All passes inside the heat input window, %d of them closer to a limit than the guard band.", v[near].Passes)
	case len(s.Findings) > 0:
		return "All passes inside the heat input window; no finding is open."
	default:
		return "All passes inside the heat input window; no finding."
	}
}

// FindingsLine says who closes a finding.
func (s *Sheet) FindingsLine() string {
	open, closed := s.Book.Open(), 0
	for k := range s.Book.Findings {
		if !s.Book.Findings[k].State.IsOpen() {
			closed++
		}
	}
	switch {
	case len(s.Findings) == 0 && open == 0:
		return "No finding. Whether the repair is accepted, a person decides."
	case open == 0:
		return "Every finding has a disposition, and none is open. Whether the repair is accepted, a person decides."
	case closed > 0:
		return fmt.Sprintf("%s%s; %d of %d have a disposition that closes them. The program flags; it never accepts.",
			Plural(open, "finding is open", "findings are open"), s.openEvents(), closed, len(s.Findings))
	}
	return Plural(open, "finding is open", "findings are open") + s.openEvents() +
		" until a person records a disposition. The program flags; it never accepts."
}

// openEvents says of how many events the open findings are, where that is another number.
func (s *Sheet) openEvents() string {
	if events := s.Book.OpenEvents(); events != s.Book.Open() {
		return " (" + Plural(events, "event", "events") + ")"
	}
	return ""
}

// Plural counts things.
func Plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// Bases lists what the power and the travel of the passes rest on.
func (s *Sheet) Bases() (power, travel string) {
	powers, travels := newCounter(), newCounter()
	for i := range s.Passes {
		powers.add(s.Passes[i].KnownPowerBasis())
		travels.add(s.Passes[i].KnownTravelBasis())
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
