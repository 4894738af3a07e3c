package plan

import (
	"fmt"
	"math"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
)

// totals adds up the layers.
func (p *planner) totals() {
	for i := range p.plan.Layers {
		p.plan.ArcTime += p.plan.Layers[i].ArcTime
		p.plan.Elapsed += p.plan.Layers[i].Elapsed
	}
	d, s := p.job.Deposit, p.plan.Settings
	p.plan.Wire = quantity.Metres(float64(s.WireSpeed) * float64(p.plan.ArcTime))
	p.plan.WireMass = bore.DepositMass(d.WireDiameter, p.plan.Wire, 1)
	p.plan.Deposit = bore.DepositMass(d.WireDiameter, p.plan.Wire, d.Efficiency)
	if s.GasFlow > 0 {
		gas := quantity.CubicMetres(float64(s.GasFlow) * float64(p.plan.ArcTime))
		p.plan.Gas = &gas
	}
	if p.plan.Elapsed > longestPlan {
		p.warn("time", 0, fmt.Sprintf("the torch would turn for %s: look at the pitch, the length, the travel and the wire speed", quantity.Lasting(p.plan.Elapsed, 0)))
	}
	p.allowance()
}

// longestPlan is 100 h of turning, more than any bore takes: a figure of the job is
// wrong by a power of ten. Ours, no source.
const longestPlan quantity.Seconds = 100 * 3600

func (p *planner) allowance() {
	p.plan.Final = p.job.Bore.WornDiameter
	if n := len(p.plan.Layers); n > 0 {
		p.plan.Final = p.plan.Layers[n-1].After
	} else {
		p.warn("no-layer", 0, "the worn bore is as narrow as it is to be welded: nothing is laid")
	}
	finish := p.job.Bore.FinishDiameter
	if finish == 0 {
		p.warn("allowance", 0, "no finish diameter is declared: what is left to machine is not known")
		return
	}
	left := (finish - p.plan.Final) / 2
	p.plan.Allowance = &left
	if left < p.options.LeastAllowance-reached {
		stock, least := quantity.TextAgainst(left, p.options.LeastAllowance, "mm", 2)
		p.warn("allowance", 0, fmt.Sprintf("%s is left to machine on a side, less than %s: the bore may not clean up", stock, least))
	}
}

// usualShape is the width of a bead over its height where nobody measured one:
// our own figure, for short arc beads laid flat.
const usualShape = 3

// leastOverlap is the share of its width by which a bead is to cover its
// neighbour, at least. Source: common practice (0.3 to 0.5). Standing: memory.
const leastOverlap quantity.Ratio = 0.3

// bead judges how the beads of the first layer lie side by side. Without a
// measured width it takes the parabola that holds the bead's area:
//
//	A = 2/3*w*h,  h = w/3:  w = sqrt(4.5*A)
func (p *planner) bead() {
	if len(p.plan.Layers) == 0 {
		return
	}
	b := Bead{Width: p.options.BeadWidth, Measured: p.options.BeadWidth > 0}
	if !b.Measured {
		b.Width = quantity.Metres(math.Sqrt(1.5 * usualShape * float64(p.plan.Layers[0].BeadArea)))
	}
	pitch := p.job.Deposit.Pitch
	b.Overlap = quantity.Ratio(1 - pitch/b.Width)
	b.WidestPitch = bore.TangentStep(b.Width)
	p.plan.Bead = b
	about := "about "
	if b.Measured {
		about = ""
	}
	widest := bore.StepForOverlap(b.Width, leastOverlap)
	if b.Overlap < leastOverlap {
		overlap, least := quantity.TextAgainst(max(b.Overlap, 0), leastOverlap, "%", 0)
		p.warn("overlap", 0, fmt.Sprintf("beads %s%s wide at a pitch of %s overlap by %s of their width, less than %s: "+
			"valleys and lack of fusion between them; a pitch of at most %s would do", about,
			quantity.Text(b.Width, "mm", 1), quantity.Text(pitch, "mm", 2), overlap, least, quantity.Text(widest, "mm", 1)))
	}
}
