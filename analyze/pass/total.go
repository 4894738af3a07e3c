package pass

import (
	"math"

	"arctally/acquire/quantity"
	"arctally/acquire/series"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
	"arctally/analyze/procedure"
)

// total fills in what the pass sums up to.
func (s *Splitter) total(p *Pass) {
	t := s.trace.sum
	p.End, p.EndPlace = s.lastEnd.Moment, s.lastEnd.Place
	elapsed := s.lastEnd.Tick - p.Start.Tick
	p.Elapsed, p.ArcTime, p.GapTime, p.HeldTime = quantity.SecondsOf(elapsed), quantity.SecondsOf(t.arc), quantity.SecondsOf(t.gap), quantity.SecondsOf(t.held)
	if elapsed > 0 {
		p.ArcOnRatio = quantity.Ratio(float64(t.arc) / float64(elapsed))
		p.ArcOnRatioHeldIn = quantity.Ratio(float64(t.arc+t.held) / float64(elapsed))
	}
	p.BriefArcOuts, p.BriefArcOutTime = s.briefs, quantity.SecondsOf(s.briefTime)
	s.means(p, t)
	s.metal(p)
	s.way(p)
	s.heat(p, t)
}

// means sets the means over arc time, and the energy.
func (s *Splitter) means(p *Pass, t tally) {
	p.Energy = quantity.Joules(t.energy * 0.5e-9)
	p.PowerBasis = series.Instantaneous
	if t.averaged {
		p.PowerBasis = series.Average
	}
	if t.meanTime > 0 {
		p.VoltageMean = new(quantity.Volts(t.v / 2 / float64(t.meanTime)))
		p.CurrentMean = new(quantity.Amperes(t.i / 2 / float64(t.meanTime)))
	}
	if t.arc > 0 {
		p.PowerMean = new(quantity.Watts(t.energy / 2 / float64(t.arc)))
	}
}

// metal sets the wire and what it left, where wire was measured.
func (s *Splitter) metal(p *Pass) {
	if !s.wireKnown && !s.hasLength {
		return
	}
	p.Wire = new(quantity.Metres(s.wireNow()))
	if d := s.job.Deposit; d.WireDiameter > 0 && d.Efficiency > 0 {
		p.Deposit = new(bore.DepositMass(d.WireDiameter, *p.Wire, d.Efficiency))
	}
}

// way sets turns, net path length and travel speed.
func (s *Splitter) way(p *Pass) {
	arc := float64(s.trace.sum.arc) * 1e-9
	p.TravelBasis = heat.TravelDeclared
	set, length := s.job.Setpoints.TravelSpeed, s.job.Deposit.Length
	var path float64
	switch {
	case s.layers.turning() && s.torch.Known():
		p.TravelBasis = s.torch.Basis()
		p.Turns = new(math.Abs(s.lastEnd.Turns - s.startTurns))
		path = s.torch.Turns(s.arcTurns) * float64(s.layers.pathPerTurn())
	case !s.layers.turning() && length > 0:
		path = float64(length)
	default:
		path = float64(set) * arc
	}
	if path > 0 && arc > 0 {
		p.Travel = new(quantity.Metres(path))
		p.TravelSpeed = new(quantity.MetresPerSecond(path / arc))
	}
}

// heat sets arc energy, heat input, its uncertainty and the verdict.
func (s *Splitter) heat(p *Pass, t tally) {
	if p.Travel == nil || p.ArcTime == 0 {
		return
	}
	judge, limits := s.job.Procedure.Judge, s.job.Procedure.Limits
	p.Budget = s.doubt.Budget(s.circumstances(p, t))
	e := heat.ArcEnergyOverLength(p.Energy, *p.Travel)
	p.ArcEnergy = &e
	if judge.Definition == procedure.ArcEnergy {
		p.Verdict = heat.Judge(e, p.Budget.Expanded(e), limits.HeatInput, judge.GuardBand)
	}
	k, listed := heat.ThermalEfficiency(s.job.Procedure.Process)
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

// circumstances are what the heat input of the pass rests on.
func (s *Splitter) circumstances(p *Pass, t tally) heat.Circumstances {
	c := heat.Circumstances{
		Travel:  p.TravelBasis,
		Turning: s.layers.turning(), BuiltUp: s.layers.builtUp(),
		VoltageScale: s.voltageScale, CurrentScale: s.currentScale,
		AveragedPower: t.averaged && s.job.Procedure.Judge.Power == series.Instantaneous,
		Missing:       float64(t.gap) / float64(t.gap+t.arc),
	}
	if p.VoltageMean != nil && p.CurrentMean != nil {
		c.Voltage, c.Current = float64(*p.VoltageMean), float64(*p.CurrentMean)
	}
	if p.TravelBasis == heat.TravelMeasured && p.Turns != nil {
		c.Counts = s.torch.Counts(*p.Turns)
	}
	if p.TravelBasis == heat.TravelDerived {
		c.Rhythm = s.torch.Doubt()
	}
	return c
}
