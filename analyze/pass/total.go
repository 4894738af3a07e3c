package pass

import (
	"math"

	"arctally/acquire/quantity"
	"arctally/acquire/series"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
	"arctally/analyze/procedure"
	"arctally/analyze/rotation"
)

// totals fill in what a pass has summed up to.
type totals struct {
	job         *procedure.Job
	layers      *layers
	torch       *rotation.Torch
	instruments *instruments
	reached
}

// total fills in what the pass has summed up to where it has come to.
func (s *Splitter) total(p *Pass, r reached) {
	t := totals{s.job, &s.layers, s.torch, &s.instruments, r}
	t.times(p)
	p.BriefArcOuts, p.BriefArcOutTime = s.brief.count, quantity.SecondsOf(s.brief.time)
	t.means(p)
	if s.feed.known() {
		t.metal(p)
	}
	t.travel(p)
	t.heat(p)
	t.mayBeHeld(p)
}

// times sets the end, and how the time up to it was spent.
func (t *totals) times(p *Pass) {
	p.End, p.EndPlace = t.at.Moment, t.at.Place
	elapsed := t.at.Tick - p.Start.Tick
	p.Elapsed, p.ArcTime = quantity.SecondsOf(elapsed), quantity.SecondsOf(t.sums.Arc)
	p.GapTime, p.HeldTime = quantity.SecondsOf(t.sums.Missing), quantity.SecondsOf(t.sums.Held)
	if elapsed > 0 {
		p.ArcOnRatio = quantity.Ratio(float64(t.sums.Arc) / float64(elapsed))
		p.ArcOnRatioHeldIn = quantity.Ratio(float64(t.sums.Arc+t.sums.Held) / float64(elapsed))
	}
}

// means sets the means over arc time, and the energy.
func (t *totals) means(p *Pass) {
	p.Energy, p.PowerMean = t.sums.Energy(), t.sums.Power()
	p.VoltageMean, p.CurrentMean = t.sums.Means()
	p.Unprotected = t.instruments.ever
	p.PowerBasis = series.Instantaneous
	if t.sums.Averaged {
		p.PowerBasis = series.Average
	}
}

// metal sets the wire and what it left.
func (t *totals) metal(p *Pass) {
	p.Wire = new(quantity.Metres(t.wire + t.sums.Wire))
	if d := t.job.Deposit; d.WireDiameter > 0 && d.Efficiency > 0 {
		p.Deposit = new(bore.DepositMass(d.WireDiameter, *p.Wire, d.Efficiency))
	}
}

// leastPath is how long a path is at least, in m: over less than that an energy is none.
// Ours, no source.
const leastPath = 1e-6

// travel sets turns, net path length and travel speed.
func (t *totals) travel(p *Pass) {
	arc := float64(t.sums.Arc) * 1e-9
	p.TravelBasis = heat.TravelDeclared
	set, length := t.job.Setpoints.TravelSpeed, t.job.Deposit.Length
	var path float64
	switch {
	case t.byTurns():
		p.TravelBasis = t.torch.Basis()
		path = t.torch.Turns(t.arcTurns) * float64(t.layers.pathPerTurn())
	case t.way.path > 0:
		p.TravelBasis = heat.TravelMeasured
		path = t.way.path
	case !t.layers.turning() && length > 0:
		path = float64(length)
	default:
		path = float64(set) * arc
	}
	if t.layers.turning() && t.torch.Known() {
		p.Turns = new(t.layers.turned(t.at.Turns))
	}
	if path >= leastPath && arc > 0 {
		p.Travel = new(quantity.Metres(path))
		p.TravelSpeed = new(quantity.MetresPerSecond(path / arc))
	}
}

// heat sets arc energy, heat input, its uncertainty and the verdict.
func (t *totals) heat(p *Pass) {
	if p.Travel == nil || p.ArcTime == 0 {
		return
	}
	judge, limits := t.job.Procedure.Judge, t.job.Procedure.Limits
	p.Budget = t.instruments.doubt.Budget(t.circumstances(p))
	e := heat.ArcEnergyOverLength(p.Energy, *p.Travel)
	p.ArcEnergy = &e
	if judge.Definition == procedure.ArcEnergy {
		p.Verdict = heat.Judge(e, p.Budget.Expanded(e), limits.HeatInput, judge.GuardBand)
	}
	k, listed := heat.ThermalEfficiency(t.job.Procedure.Process)
	if !listed {
		return
	}
	q := heat.HeatInput(k, e)
	u := p.Budget.Expanded(q)
	p.HeatInput, p.ExpandedUncertainty = &q, &u
	if judge.Definition == procedure.EN1011 {
		p.Verdict = heat.Judge(q, u, limits.HeatInput, judge.GuardBand)
	}
}

// byTurns reports whether the travel is that of the turns of the torch.
func (t *totals) byTurns() bool {
	return t.layers.turning() && t.torch.Known() && (t.torch.Measured() || t.way.path == 0)
}

// circumstances are what the heat input of the pass rests on.
func (t *totals) circumstances(p *Pass) heat.Circumstances {
	c := heat.Circumstances{
		Travel:  p.TravelBasis,
		Turning: t.layers.turning(), BuiltUp: t.layers.builtUp(),
		VoltageScale: t.instruments.voltageScale, CurrentScale: t.instruments.currentScale,
		AveragedPower: t.sums.Averaged && t.job.Procedure.Judge.Power == series.Instantaneous,
		Means:         t.sums.Averaged,
		Signals:       t.instruments.signals, Swing: heat.Swing(t.sums.Swing()),
		Missing: float64(t.sums.Missing) / float64(t.sums.Missing+t.sums.Arc),
	}
	if p.VoltageMean != nil && p.CurrentMean != nil {
		c.Voltage, c.Current = float64(*p.VoltageMean), float64(*p.CurrentMean)
	}
	switch {
	case p.TravelBasis != heat.TravelMeasured:
	case !t.byTurns():
		c.Followed, c.FollowedStep = true, t.way.doubt
	case p.Turns != nil:
		if a := t.torch.Account(*p.Turns, t.at.Tick-p.Start.Tick); a.Speed != 0 {
			c.Counted = math.Abs(float64(a.Uncertainty / a.Speed))
		}
	}
	if p.TravelBasis == heat.TravelDerived {
		c.Rhythm = t.torch.Doubt()
	}
	return c
}
