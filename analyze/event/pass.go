package event

import (
	"slices"

	"arctally/acquire/quantity"
	"arctally/analyze/finding"
)

// passGrouping is the findings of one pass that are being grouped.
type passGrouping struct {
	found    []*finding.Finding // in canonical order
	taken    map[*finding.Finding]bool
	clusters []*cluster
}

// rows opens the events of all rows, led by those findings that may lead.
func (p *passGrouping) rows(leads func(*finding.Finding) bool) {
	for k := range table {
		row := &table[k]
		for _, f := range p.found {
			if !p.taken[f] && leads(f) && has(row.tells, f) && p.needed(row, f) {
				p.gather(row, f)
			}
		}
	}
}

// needed reports whether what a row needs is there.
func (p *passGrouping) needed(row *cause, lead *finding.Finding) bool {
	if row.needs == nil {
		return true
	}
	at := during(lead)
	return slices.ContainsFunc(p.found, func(f *finding.Finding) bool {
		return at.begins(f) && at.meets(during(f)) && !p.taken[f] && has(row.needs, f)
	})
}

// gather opens an event and takes into it what belongs to it.
func (p *passGrouping) gather(row *cause, first *finding.Finding) {
	c := p.open(row, row.name, first)
	at := during(first)
	for grown := true; grown; {
		grown = false
		for _, f := range p.found {
			if at.meets(during(f)) && !p.taken[f] && has(row.tells, f) {
				p.take(c, f)
				at, grown = at.with(during(f)), true
			}
		}
	}
	c.lead = row.leading(c.findings)
	for _, f := range p.found {
		if !at.begins(f) || p.taken[f] {
			continue
		}
		hole := f.Rule == finding.ArcOut && c.lead.Whole() // a spot to look at, whatever goes on all the time
		longer := f.Whole() && !at.all                     // no moment explains what lasts all the time
		if !hole && !longer && !has(sums, f) && has(row.shows, f) {
			p.take(c, f)
		}
	}
}

// leading returns the finding that tells the cause best: by the first sign of the row that
// any of them shows, the one that began first.
func (row *cause) leading(all []*finding.Finding) *finding.Finding {
	for _, s := range row.tells {
		var first *finding.Finding
		for _, f := range all {
			if s.of(f) && (first == nil || canonical(f, first) < 0) {
				first = f
			}
		}
		if first != nil {
			return first
		}
	}
	return all[0]
}

// sum puts what sums up the pass to the longest event that it shows with.
func (p *passGrouping) sum() {
	for _, f := range p.found {
		if p.taken[f] || !has(sums, f) {
			continue
		}
		var longest *cluster
		for _, c := range p.clusters {
			if has(c.row.shows, f) && (longest == nil || c.lasted() > longest.lasted()) {
				longest = c
			}
		}
		if longest != nil {
			p.take(longest, f)
		}
	}
}

// lasted is for how long the cause is told.
func (c *cluster) lasted() (sum quantity.Seconds) {
	for _, f := range c.findings {
		if c.tells(f) {
			sum = max(sum, f.Duration)
		}
	}
	return sum
}

func (p *passGrouping) open(row *cause, name Cause, lead *finding.Finding) *cluster {
	c := &cluster{cause: name, row: row, lead: lead}
	p.clusters = append(p.clusters, c)
	p.take(c, lead)
	return c
}

func (p *passGrouping) take(c *cluster, f *finding.Finding) {
	p.taken[f] = true
	c.findings = append(c.findings, f)
}

// span is the time of an event within its pass.
type span struct {
	epoch       int
	from, until int64 // ticks
	all         bool  // of the pass
}

func during(f *finding.Finding) span {
	return span{f.Start.Epoch, f.Start.Tick, f.Start.Tick + f.Duration.Nanoseconds(), f.Whole()}
}

// meets reports whether two spans touch, give or take together.
func (s span) meets(o span) bool {
	slack := together.Nanoseconds()
	return s.all || o.all || s.epoch == o.epoch && s.from-slack <= o.until && o.from-slack <= s.until
}

// begins reports whether a finding begins within the span, give or take together.
func (s span) begins(f *finding.Finding) bool {
	slack := together.Nanoseconds()
	return s.all || f.Start.Epoch == s.epoch && f.Start.Tick >= s.from-slack && f.Start.Tick <= s.until+slack
}

func (s span) with(o span) span {
	return span{s.epoch, min(s.from, o.from), max(s.until, o.until), s.all || o.all}
}
