package sheet

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"arctally/acquire/quantity"
	"arctally/analyze/proof"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
)

// Simulation asks for the check of the linear formula by JCGM 101.
type Simulation bool

// Whether a proof is checked by simulation.
const (
	Linear    Simulation = false
	Simulated Simulation = true
)

// Every pass is simulated with the same number of draws and a seed of its own,
// so that a proof is the same to the last byte each time. 200 000 draws leave the
// ends of an interval uncertain by less than 1 % of u.
const simulatedDraws = 200_000

// simulatedShare is what k = 2 holds of a normal distribution.
var simulatedShare = math.Erf(heat.CoverageFactor / math.Sqrt2)

// noClause stands under every proof.
const noClause = "This says what the record proves of the mean heat input of each pass, and nothing of the weld. " +
	"No conformity to a clause of a standard is claimed; only a person accepts."

// prove weighs the frozen passes.
func (s *Sheet) prove(clock wallClock) proof.Proof {
	passes := make([]pass.Pass, len(s.passes))
	for k := range s.passes {
		passes[k] = s.passes[k].Pass
	}
	return proof.Of(&s.job, passes, clock.dated)
}

// Proved reports whether every pass is proved within.
func (s *Sheet) Proved() bool { return s.proof.Whole() }

// simulate is nil for a pass without a budget.
func (s *Sheet) simulate(k int) *heat.Simulated {
	proof := &s.proof.Passes[k]
	if s.passes[k].Budget == nil || proof.Value == nil {
		return nil
	}
	drawn := heat.Simulate(*proof.Value, s.passes[k].Budget, simulatedShare, simulatedDraws, uint64(proof.Number))
	return &drawn
}

// ProofText writes the proof for a person: the claim, the rule, pass by pass,
// and what is missing.
func (s *Sheet) ProofText(w io.Writer, check Simulation) error {
	var b strings.Builder
	fmt.Fprintf(&b, "proof of heat input: %s\nrecord %s, procedure %s, pattern %s\n\n", orDash(s.job.Name), orDash(s.record),
		orDash(s.job.Procedure.Name), orDash(string(s.job.Deposit.Pattern)))
	paragraph(&b, "claim: "+s.proof.Claim)
	paragraph(&b, "rule: "+s.proof.Rule)
	b.WriteString("\n")
	if err := s.proofGrid(check).writeTo(&b); err != nil {
		return fmt.Errorf("write proof: %w", err)
	}
	b.WriteString("\n")
	for _, line := range s.proofNotes(check) {
		paragraph(&b, line)
	}
	if _, err := io.WriteString(w, b.String()); err != nil {
		return fmt.Errorf("write proof: %w", err)
	}
	return nil
}

func paragraph(b *strings.Builder, text string) {
	b.WriteString(strings.Join(wrap(text, pageWidth), "\n  ") + "\n")
}

func (s *Sheet) proofGrid(check Simulation) *grid {
	judged := "Q"
	if s.arcEnergyRules() {
		judged = "E"
	}
	g := &grid{columns: []column{
		{name: "pass"},
		{name: "layer"},
		{name: judged, unit: "kJ/mm"},
		{name: "±U", unit: "kJ/mm"},
		{name: "P(within)"},
		{name: "covers", unit: "%"},
		{name: "verdict", left: true},
		{name: "proved", left: true},
	}}
	if check {
		g.columns = append(g.columns, column{name: "simulated", unit: "kJ/mm", left: true})
	}
	for k := range s.proof.Passes {
		p := &s.proof.Passes[k]
		cells := []string{
			strconv.Itoa(p.Number), count(p.Layer), digits(in(p.Value, "kJ/mm"), 3), digits(in(p.Expanded, "kJ/mm"), 3),
			chance(p.Conformity), digits(in(p.Share, "%"), 1), shortVerdict(p.Verdict), provedWord(p.Proved),
		}
		if check {
			cells = append(cells, simulatedText(s.simulate(k)))
		}
		g.add(cells, proofLines(p)...)
	}
	return g
}

// chance prints a probability that is never quite sure.
func chance(p *float64) string {
	switch {
	case p == nil:
		return dash
	case *p > 0.9999:
		return ">0.9999"
	case *p < 0.0001:
		return "<0.0001"
	default:
		return digits(p, 4)
	}
}

func provedWord(proved bool) string {
	if proved {
		return "yes"
	}
	return "no"
}

func simulatedText(drawn *heat.Simulated) string {
	if drawn == nil {
		return dash
	}
	return digits(in(&drawn.Low, "kJ/mm"), 4) + " to " + digits(in(&drawn.High, "kJ/mm"), 4)
}

// proofLines are the reasons and remarks under a pass.
func proofLines(p *proof.OfPass) []string {
	var lines []string
	add := func(head string, all []proof.Reason) {
		for _, r := range all {
			for k, line := range wrap(head+r.Text, pageWidth-8) {
				if k > 0 {
					line = "  " + line
				}
				lines = append(lines, line)
			}
		}
	}
	add("not proved: ", p.Reasons)
	add("note: ", p.Remarks)
	return lines
}

func (s *Sheet) proofNotes(check Simulation) []string {
	lines := []string{s.proofSummary()}
	lines = append(lines, s.layerLines()...)
	for _, m := range s.proof.Missing {
		lines = append(lines, fmt.Sprintf("missing: %s, %s: %s", m.Kind, passNumbers(m.Passes), m.Remedy))
	}
	if check {
		lines = append(lines, fmt.Sprintf("simulated: the interval that holds %.2f %% of %d draws of everything that is not known (JCGM 101); "+
			"it checks value ± U, and the verdict rests on U", 100*simulatedShare, simulatedDraws))
	}
	return append(lines, noClause)
}

// proofSummary is the proof in one sentence.
func (s *Sheet) proofSummary() string {
	p := &s.proof
	if len(p.Passes) == 0 {
		return "No pass was found in this record, so nothing is proved."
	}
	text := fmt.Sprintf("%d of %s proved within", p.Proved, plural(len(p.Passes), "pass is", "passes are"))
	if p.Laid != nil && *p.Laid > 0 {
		text += fmt.Sprintf("; they cover %.1f %% of the area that was laid", 100*float64(*p.ProvedArea / *p.Laid))
	}
	return text + "."
}

func (s *Sheet) layerLines() []string {
	set := s.units.planSet()
	lines := make([]string, 0, len(s.proof.Layers))
	for _, l := range s.proof.Layers {
		lines = append(lines, fmt.Sprintf("layer %d: %s of the bore's %s laid, %s planned, %s proved", l.Layer,
			quantity.Text(l.Laid, "%", 1), quantity.Text(l.Area, set.area, set.areaDigits-2), quantity.Text(l.Planned, "%", 1), quantity.Text(l.Proved, "%", 1)))
	}
	return lines
}

// passNumbers prints numbers with runs drawn together.
func passNumbers(numbers []int) string {
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
