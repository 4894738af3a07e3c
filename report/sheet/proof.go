package sheet

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"arctally/acquire/quantity"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
	"arctally/analyze/proof"
)

// Simulation asks for the check of the linear formula by JCGM 101.
type Simulation bool

// Whether a proof is checked by simulation.
const (
	Linear    Simulation = false
	Simulated Simulation = true
)

// SimulatedDraws are made for every pass, each with a seed of its own, so that a
// proof is the same to the last byte each time. 200 000 draws leave the ends of an
// interval uncertain by less than 1 % of u.
const SimulatedDraws = 200_000

// SimulatedShare is what k = 2 holds of a normal distribution.
var SimulatedShare = math.Erf(heat.CoverageFactor / math.Sqrt2)

// NoClause stands under every proof.
const NoClause = "This says what the record proves of the mean heat input of each pass, and nothing of the weld. " +
	"No conformity to a clause of a standard is claimed; only a person accepts."

// prove weighs the frozen passes.
func prove(job *procedure.Job, frozen []Pass, clock wallClock) proof.Proof {
	passes := make([]pass.Pass, len(frozen))
	for k := range frozen {
		passes[k] = frozen[k].Pass
	}
	return proof.Of(job, passes, clock.dated)
}

// Proved reports whether every pass is proved within.
func (s *Sheet) Proved() bool { return s.Proof.Whole() }

// Simulate is nil for a pass without a budget.
func (s *Sheet) Simulate(k int) *heat.Simulated {
	proof := &s.Proof.Passes[k]
	if s.Passes[k].Budget == nil || proof.Value == nil {
		return nil
	}
	drawn := heat.Simulate(*proof.Value, s.Passes[k].Budget, SimulatedShare, SimulatedDraws, uint64(proof.Number))
	return &drawn
}

// Chance prints a probability that is never quite sure.
func Chance(p *float64) string {
	switch {
	case p == nil:
		return Dash
	case *p > 0.9999:
		return ">0.9999"
	case *p < 0.0001:
		return "<0.0001"
	default:
		return Digits(p, 4)
	}
}

// ProvedWord is a proof in a column.
func ProvedWord(proved bool) string {
	if proved {
		return "yes"
	}
	return "no"
}

// ProofSummary is the proof in one sentence.
func (s *Sheet) ProofSummary() string {
	p := &s.Proof
	if len(p.Passes) == 0 {
		return "No pass was found in this record, so nothing is proved."
	}
	text := fmt.Sprintf("%d of %s proved within", p.Proved, Plural(len(p.Passes), "pass is", "passes are"))
	if p.Laid != nil && *p.Laid > 0 {
		text += fmt.Sprintf("; they cover %.1f %% of the area that was laid", 100*float64(*p.ProvedArea / *p.Laid))
	}
	return text + "."
}

// LayerLines say how much of the bore each layer covers, and how much is proved.
func (s *Sheet) LayerLines(u Units) []string {
	area := u.Set().Area
	area = area.To(area.Digits - 2)
	lines := make([]string, 0, len(s.Proof.Layers))
	for _, l := range s.Proof.Layers {
		lines = append(lines, fmt.Sprintf("layer %d: %s of the bore's %s laid, %s planned, %s proved", l.Layer,
			quantity.Text(l.Laid, "%", 1), Say(l.Area, area), quantity.Text(l.Planned, "%", 1), quantity.Text(l.Proved, "%", 1)))
	}
	return lines
}

// MissingLines say what would prove what is not proved.
func (s *Sheet) MissingLines() (lines []string) {
	for _, m := range s.Proof.Missing {
		lines = append(lines, fmt.Sprintf("%s (%s): %s", Spaced(string(m.Kind)), PassNumbers(m.Passes), m.Remedy))
	}
	return lines
}

// PassNumbers prints numbers with runs drawn together.
func PassNumbers(numbers []int) string {
	var parts []string
	for k := 0; k < len(numbers); {
		last := k
		for last+1 < len(numbers) && numbers[last+1] == numbers[last]+1 {
			last++
		}
		part := strconv.Itoa(numbers[k])
		if last > k {
			part += "-" + strconv.Itoa(numbers[last])
		}
		parts = append(parts, part)
		k = last + 1
	}
	if len(numbers) == 1 {
		return "pass " + parts[0]
	}
	return "passes " + strings.Join(parts, ", ")
}
