package analyze

import (
	"math"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
	"arctally/analyze/procedure"
)

// forecast tells where the heat input of the pass will end.
func (r *Run) forecast(p *Progress, at *bore.Place) *Forecast {
	power, over, known := r.watched.power()
	path, f := r.ahead(p, at)
	if f == nil || !known || path <= 0 {
		return nil
	}
	rules, energy := &r.job.Procedure, p.Energy+quantity.Joules(float64(power)*float64(f.RemainingArc))
	f.Definition, f.Window, f.Power, f.PowerTurns = rules.Judge.Definition, rules.Limits.HeatInput, power, over
	f.Value = heat.ArcEnergyOverLength(energy, path)
	if !r.toDefinition(&f.Value) {
		return nil
	}
	f.Expanded = p.Budget.Expanded(f.Value)
	f.State = stateOf(f.Value, f.Window)
	if p.Budget != nil {
		f.Verdict = heat.Judge(f.Value, f.Expanded, f.Window, rules.Judge.GuardBand)
	}
	return f
}

// toDefinition makes of an arc energy what the limits are about, and tells whether
// that is known.
func (r *Run) toDefinition(q *quantity.JoulesPerMetre) bool {
	if r.job.Procedure.Judge.Definition == procedure.ArcEnergy {
		return true
	}
	k, listed := heat.ThermalEfficiency(r.job.Procedure.Process)
	*q = heat.HeatInput(k, *q)
	return listed
}

// ahead returns the whole path of the pass if it goes on as planned, and how long
// that will take; nil where it is not known.
func (r *Run) ahead(p *Progress, at *bore.Place) (path quantity.Metres, f *Forecast) {
	length, set := r.job.Deposit.Length, r.job.Setpoints.TravelSpeed
	around := r.splitter.PathPerTurn()
	switch {
	case around > 0 && p.Done != nil && p.Travel != nil:
		n, basis := r.splitter.Turning()
		if measured, known := r.watched.rotation(); basis == heat.TravelMeasured && known {
			n = measured
		}
		turns, welded := leftToWeld(r.job.Deposit, at, *p.PlannedTurns, *p.Turns, r.splitter.Went())
		if n <= 0 {
			return 0, nil
		}
		f = &Forecast{Remaining: quantity.Seconds(turns / float64(n)), RemainingArc: quantity.Seconds(welded / float64(n))}
		return *p.Travel + quantity.Metres(welded)*around, f
	case around == 0 && length > 0 && set > 0:
		left := max(0, quantity.Seconds(float64(length)/float64(set))-p.ArcTime)
		return length, &Forecast{Remaining: left, RemainingArc: left}
	}
	return 0, nil
}

// wayOf is the direction of the torch: -1 is anti-clockwise.
func wayOf(went float64) float64 { return math.Copysign(1, went) }

// leftToWeld returns how much of a pass is still to be turned, and to be welded,
// in turns, from a place on. A torch that turned back without arc leaves no more
// than it had left there.
func leftToWeld(d bore.Deposit, at *bore.Place, planned, laid, went float64) (turns, welded float64) {
	turns = max(0, planned-max(laid, math.Abs(went)))
	if d.Pattern.Stroked() || at == nil {
		return turns, turns
	}
	return turns, float64(d.Welded(at.Angle, quantity.Degrees(wayOf(went)*turns*360))) / 360
}
