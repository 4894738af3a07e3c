package now

import (
	"math"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
	"arctally/analyze/procedure"
)

// Forecast is where the heat input of the pass will end if the torch goes on as
// it does:
//
//	E = (W + P*t)/(L + l)
//
// with the energy W and the path L so far, the path l that the plan still has to
// weld, the time t that it takes at the present rotation, and the mean power P
// over the arc time of the last whole turn, or of what there is of it. When
// nothing is left, it is the value of the pass. It takes for granted that the
// arc burns wherever the plan has it burning from here on.
type Forecast struct {
	Definition   procedure.Definition    // what the value is: heat input or arc energy
	Value        quantity.JoulesPerMetre // that the limits are about
	Expanded     quantity.JoulesPerMetre // uncertainty of it, k = 2, by what is known so far
	Window       quantity.Range[quantity.JoulesPerMetre]
	State        WindowState
	Verdict      heat.Verdict     // that the pass would get
	Remaining    quantity.Seconds // until the end of the pass, planned gaps included
	RemainingArc quantity.Seconds
	Power        quantity.Watts // P
	PowerTurns   float64        // turns that P was taken over; 0 for a bead on a plate
}

// forecast tells where the heat input of the pass will end.
func (w *Watch) forecast(p *Progress, at *bore.Place) *Forecast {
	power, over, known := w.power()
	path, f := w.ahead(p, at)
	if f == nil || !known || path <= 0 {
		return nil
	}
	rules, energy := &w.job.Procedure, p.Energy+quantity.Joules(float64(power)*float64(f.RemainingArc))
	f.Definition, f.Window, f.Power, f.PowerTurns = rules.Judge.Definition, rules.Limits.HeatInput, power, over
	f.Value = heat.ArcEnergyOverLength(energy, path)
	if !w.toDefinition(&f.Value) {
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
func (w *Watch) toDefinition(q *quantity.JoulesPerMetre) bool {
	if w.job.Procedure.Judge.Definition == procedure.ArcEnergy {
		return true
	}
	k, listed := heat.ThermalEfficiency(w.job.Procedure.Process)
	*q = heat.HeatInput(k, *q)
	return listed
}

// ahead returns the whole path of the pass if it goes on as planned, and how long
// that will take; nil where it is not known.
func (w *Watch) ahead(p *Progress, at *bore.Place) (path quantity.Metres, f *Forecast) {
	length, set := w.job.Deposit.Length, w.job.Setpoints.TravelSpeed
	around := w.torch.PathPerTurn()
	switch {
	case around > 0 && p.Done != nil && p.Travel != nil:
		n, basis := w.torch.Turning()
		if measured, known := w.rotation(); basis == heat.TravelMeasured && known {
			n = measured
		}
		turns, welded := leftToWeld(w.job.Deposit, at, *p.PlannedTurns, *p.Turns, w.torch.Went())
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
