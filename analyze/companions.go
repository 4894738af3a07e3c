package analyze

import (
	"slices"

	"arctally/acquire/quantity"
	"arctally/acquire/series"
	"arctally/analyze/pass"
)

// companions are what is known of the boxes that measured beside the one that tells the
// arc: within which time each of them may stand elsewhere than its ticks say.
type companions struct {
	source series.Source
	newest []series.Event // of each box, in the order in which they were first heard
}

// spoke takes what all boxes say of themselves together.
func (c *companions) spoke(s series.Source) { c.source = s }

// alone reports whether a description differs from the one before by what companions
// measure alone. Then samples that wait are what they were, and go on waiting for the
// counts that belong before them.
func (c *companions) alone(s series.Source) bool {
	before := c.source
	if len(before.Channels) < 2 || s.CountsPerTurn != before.CountsPerTurn {
		return false
	}
	own := func(x series.Source) series.Source {
		x.Channels = slices.DeleteFunc(slices.Clone(x.Channels), func(c series.Channel) bool { return c.Box > 0 })
		return x
	}
	return own(s).Equal(own(before))
}

// took takes what became known of the clock of a box.
func (c *companions) took(e series.Event) {
	for k := range c.newest {
		if c.newest[k].Box == e.Box {
			c.newest[k] = e
			return
		}
	}
	c.newest = append(c.newest, e)
}

// apart is the half-width, k = 2, of the times of a box; 0 of the one that tells the arc.
func (c *companions) apart(box int) quantity.Seconds {
	for k := range c.newest {
		if e := &c.newest[k]; box > 0 && e.Box == box {
			return quantity.SecondsOf(e.Count)
		}
	}
	return 0
}

// channel is the same for a channel.
func (c *companions) channel(name string) quantity.Seconds {
	for _, x := range c.source.Channels {
		if x.Name == name {
			return c.apart(x.Box)
		}
	}
	return 0
}

// apart tells who makes places of what companions measured how well they are known.
func (r *Run) apart() {
	r.judge.Apart(r.companions.channel("wire_speed"), r.companions.channel("gas_flow"))
	r.splitter.CountsApart(r.companions.apart(r.companions.source.TurnBox))
}

// ofCompanions tells within which time what they measured is known.
func (r *Run) ofCompanions() (all []Warning) {
	for _, e := range r.companions.newest {
		at := pass.Moment{Epoch: e.Epoch, Tick: e.Tick}
		all = append(all, Warning{Kind: string(e.Kind), Start: at, End: at, Count: 1, Text: e.Text})
	}
	return all
}
