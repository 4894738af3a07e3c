package event

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"arctally/analyze/finding"
)

// result numbers the events. What went into a flaw of the wall keeps its rank from the others,
// and the flaw has the lowest one of its parts.
func (g *grouping) result() (events []Event) {
	rank := map[*cluster]int{}
	slices.SortFunc(g.clusters, func(a, b *cluster) int { return cmp.Compare(a.lowest(), b.lowest()) })
	for k, c := range g.clusters {
		rank[c] = k + 1
	}
	for _, c := range g.clusters {
		if c.part != nil {
			continue
		}
		for _, p := range c.parts {
			c.findings = append(c.findings, p.findings...)
			rank[c] = min(rank[c], rank[p])
		}
		events = append(events, c.event(rank[c]))
	}
	slices.SortFunc(events, func(a, b Event) int { return cmp.Compare(a.Number, b.Number) })
	return events
}

// lowest is the lowest number of its findings.
func (c *cluster) lowest() int {
	n := c.findings[0].Number
	for _, f := range c.findings {
		n = min(n, f.Number)
	}
	return n
}

func (c *cluster) event(number int) Event {
	slices.SortFunc(c.findings, func(a, b *finding.Finding) int { return cmp.Compare(a.Number, b.Number) })
	e := Event{
		Number: number, Cause: c.cause, Lead: c.lead.Number, Layer: c.findings[0].Layer, Start: c.lead.Start, Spread: c.spread, Whole: c.lead.Whole() && !c.spread,
	}
	for _, f := range c.findings {
		e.Findings, e.Passes = append(e.Findings, f.Number), append(e.Passes, f.Pass)
		if f.Layer != e.Layer {
			e.Layer = 0
		}
	}
	slices.Sort(e.Passes)
	e.Passes = slices.Compact(e.Passes)
	if !c.spread && c.lead.Place != nil {
		e.Place = new(*c.lead.Place)
	}
	e.Sentence = e.sentence(c.findings)
	return e
}

// sentence is that of the event, of its own findings: the cause, how it
// was told, where to look, and what showed with it.
func (e *Event) sentence(own []*finding.Finding) string {
	lead := own[slices.IndexFunc(own, func(f *finding.Finding) bool { return f.Number == e.Lead })]
	var with []string
	counts := map[string]int{}
	for _, f := range own {
		if f.Rule == lead.Rule && f.Below() == lead.Below() {
			continue // the passes say that
		}
		shown := shows(f)
		if counts[shown]++; counts[shown] == 1 {
			with = append(with, shown)
		}
	}
	text := string(e.Cause) + ": "
	if e.Spread {
		text += fmt.Sprintf("met at more than %d places, the next of them: ", places)
	}
	text += lead.Sentence
	for k, shown := range with {
		if n := counts[shown]; n > 1 {
			with[k] = fmt.Sprintf("%s (%d times)", shown, n)
		}
	}
	if len(with) > 0 {
		text += "; with it: " + strings.Join(with, ", ")
	}
	if len(e.Passes) > 1 {
		text += "; in passes " + Ranges(e.Passes)
	}
	return text
}

// shows names what a finding shows, in short.
func shows(f *finding.Finding) string {
	name := strings.ReplaceAll(string(f.Rule), "_", " ")
	if !finding.HasSides(f.Rule) {
		return name
	}
	if f.Below() {
		return name + " low"
	}
	return name + " high"
}

// Ranges names rising numbers, those in a row as a range.
func Ranges(numbers []int) string {
	var parts []string
	for k := 0; k < len(numbers); {
		to := k
		for to+1 < len(numbers) && numbers[to+1] == numbers[to]+1 {
			to++
		}
		switch to - k {
		case 0:
			parts = append(parts, fmt.Sprint(numbers[k]))
		case 1:
			parts = append(parts, fmt.Sprint(numbers[k]), fmt.Sprint(numbers[to]))
		default:
			parts = append(parts, fmt.Sprintf("%d to %d", numbers[k], numbers[to]))
		}
		k = to + 1
	}
	return strings.Join(parts, ", ")
}
