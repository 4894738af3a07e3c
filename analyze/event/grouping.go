package event

import (
	"cmp"
	"math"
	"slices"

	"arctally/analyze/bore"
	"arctally/analyze/finding"
)

// canonical is an order of findings that does not rest on the order in which they were filed,
// but for the last of it.
func canonical(a, b *finding.Finding) int {
	return cmp.Or(
		cmp.Compare(a.Pass, b.Pass), a.Start.Compare(b.Start), cmp.Compare(a.Rule, b.Rule), cmp.Compare(a.Worst, b.Worst),
		cmp.Compare(a.Duration, b.Duration), cmp.Compare(a.Number, b.Number))
}

// cluster is an event that is being gathered.
type cluster struct {
	cause    Cause
	row      *cause // nil where no row has it
	lead     *finding.Finding
	findings []*finding.Finding
	spread   bool
	apart    bool     // it was met at a place of its own
	ofWall   bool     // a flaw of the wall can have brought it about
	part     *cluster // it went into this one
	parts    []*cluster
}

// standing is by what the events are told apart that go over passes.
type standing struct {
	cause Cause
	rule  finding.Rule
	below bool
}

// grouping is the events of a record that are being gathered.
type grouping struct {
	clusters []*cluster
	events   map[*finding.Finding]*cluster // that a finding belongs to
	whole    map[standing]*cluster
	spread   map[Cause]*cluster
	met      map[Cause]int // places
	before   []*cluster    // events of the pass before
	number   int           // of that pass
}

// pass groups the findings of a pass, which are in canonical order.
func (g *grouping) pass(found []*finding.Finding) {
	p := &passGrouping{found: found, taken: map[*finding.Finding]bool{}}
	for _, f := range found {
		p.taken[f] = f.Rule == finding.WallPatch
	}
	p.rows(func(f *finding.Finding) bool { return !has(sums, f) })
	p.sum()
	p.rows(func(*finding.Finding) bool { return true })
	for _, f := range found {
		if !p.taken[f] {
			p.open(nil, causeOf(f), f)
		}
	}
	slices.SortStableFunc(p.clusters, func(a, b *cluster) int { return canonical(a.first(), b.first()) })
	var mine []*cluster
	for _, c := range p.clusters {
		into := g.place(c, found[0].Pass)
		for _, f := range c.findings {
			g.events[f] = into
		}
		mine = append(mine, into)
	}
	g.before, g.number = mine, found[0].Pass
}

// place puts what was gathered in a pass to the event that it goes on with, or makes an event of it.
func (g *grouping) place(c *cluster, number int) *cluster {
	if number == g.number+1 && !has(once, c.lead) && c.beginsPass() {
		for _, e := range g.before {
			if e.like(c) && e.endsPass(g.number) {
				return e.take(c)
			}
		}
	}
	switch {
	case slices.Contains(turning, c.cause):
		return g.towards(c)
	case c.lead.Whole() && !has(once, c.lead):
		key := c.standing()
		if g.whole[key] == nil {
			g.whole[key] = c
			return g.keep(c)
		}
		return g.whole[key].take(c)
	}
	if g.met[c.cause]++; g.met[c.cause] <= places {
		c.apart = true
		return g.keep(c)
	}
	if g.spread[c.cause] == nil {
		g.spread[c.cause], c.spread = c, true
		return g.keep(c)
	}
	return g.spread[c.cause].take(c)
}

// oneSide is by how many degrees what comes again on every turn may lie apart, and be of the same
// set-up. Ours, no source.
const oneSide = 30

// towards puts what comes again on every turn to what came before at the same angle; an oval
// bore has two of them.
func (g *grouping) towards(c *cluster) *cluster {
	for _, e := range g.clusters {
		if e.cause != c.cause || e.lead.Place == nil || c.lead.Place == nil {
			continue
		}
		off := math.Abs(float64(bore.AngleDifference(c.lead.Place.Angle, e.lead.Place.Angle)))
		if c.cause == OvalBore {
			off = min(off, 180-off)
		}
		if off <= oneSide {
			return e.take(c)
		}
	}
	return g.keep(c)
}

func (g *grouping) keep(c *cluster) *cluster {
	c.ofWall = c.apart && c.allOf(ofWall)
	g.clusters = append(g.clusters, c)
	return c
}

// flaws gathers the parts of the flaws of the wall.
func (g *grouping) flaws(found []*finding.Finding) {
	byNumber := slices.SortedFunc(slices.Values(found), func(a, b *finding.Finding) int { return cmp.Compare(a.Number, b.Number) })
	for _, w := range byNumber {
		if w.Rule != finding.WallPatch {
			continue
		}
		flaw := &cluster{cause: FlawOfWall, lead: w, findings: []*finding.Finding{w}}
		for _, f := range byNumber {
			if e := g.events[f]; f.PartOf == w.Number && e != nil && e.ofWall && e.part == nil {
				e.part = flaw
				flaw.parts = append(flaw.parts, e)
			}
		}
		g.keep(flaw)
	}
}

func (c *cluster) standing() standing { return standing{c.cause, c.lead.Rule, c.lead.Below()} }

// like reports whether two have the same cause, led by the same sign.
func (c *cluster) like(o *cluster) bool { return c.standing() == o.standing() }

func (c *cluster) take(other *cluster) *cluster {
	c.findings = append(c.findings, other.findings...)
	return c
}

func (c *cluster) allOf(signs []sign) bool {
	return !slices.ContainsFunc(c.findings, func(f *finding.Finding) bool { return !has(signs, f) })
}

// first is the finding of the event that began first.
func (c *cluster) first() *finding.Finding { return slices.MinFunc(c.findings, canonical) }

// tells reports whether a finding tells the cause.
func (c *cluster) tells(f *finding.Finding) bool {
	return c.row != nil && has(c.row.tells, f) || c.row == nil && f.Rule == c.lead.Rule
}

// beginsPass reports whether what tells the cause was there as the pass began.
func (c *cluster) beginsPass() bool {
	return slices.ContainsFunc(c.findings, func(f *finding.Finding) bool { return f.FromStart && c.tells(f) })
}

// endsPass reports whether what tells the cause was still there as a pass ended. Findings
// stand in the order of their passes: so no more is looked at than what comes from it on.
func (c *cluster) endsPass(number int) bool {
	for _, f := range slices.Backward(c.findings) {
		if f.Pass < number {
			return false
		}
		if f.Pass == number && f.ToEnd && c.tells(f) {
			return true
		}
	}
	return false
}
