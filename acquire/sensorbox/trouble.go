package sensorbox

import "math"

// conditions is what the faults of a moment make of the set-up.
type conditions struct {
	feed, rotation, gas float64 // shares
	volts, stubbing     float64
	standoff            float64
	arcOut, lost        bool
	halted              bool // source off and torch still
}

// trouble is one fault of the plan and how it stands.
type trouble struct {
	Fault
	from, to float64 // degrees turned in a pass
	active   bool
	doneIn   int     // the pass it last was in
	until    float64 // s, where it ends by time
	truth    int     // index in Truth.Faults
	goneOn   bool    // an interruption that waits for the arc
}

func troublesOf(p Plan) []trouble {
	direction := 1.0
	if p.RotationSpeed < 0 {
		direction = -1
	}
	list := make([]trouble, len(p.Faults))
	for k, f := range p.Faults {
		from, to := 0.0, math.Inf(1)
		if f.Turn > 0 {
			from = wrap(direction*float64(f.From-p.StartAngle)) + 360*float64(f.Turn-1)
			to = from + wrap(direction*float64(f.To-f.From))
		}
		list[k] = trouble{Fault: f, from: from, to: to}
	}
	return list
}

// begins tells whether the fault starts now.
func (t *trouble) begins(torch *torch) bool {
	if t.active || t.doneIn == torch.pass || (t.Pass != 0 && t.Pass != torch.pass) {
		return false
	}
	if t.After {
		return torch.phase == waiting && torch.pass > 0
	}
	if t.Turn == 0 {
		return torch.phase == striking || torch.phase == turning
	}
	return torch.phase == turning && torch.turned >= t.reached(torch)
}

// ends tells whether an active fault is over. A lost arc is over when it burns
// again.
func (t *trouble) ends(torch *torch, now float64, arcOn bool) bool {
	over := torch.phase == waiting || torch.phase == done || torch.turned >= t.left(torch)
	if t.Duration > 0 {
		over = now >= t.until
	}
	if (t.Kind == ArcOut || t.Kind == Interruption) && torch.phase == turning && !torch.inGap() {
		return over && arcOn
	}
	return over
}

// holdsArc tells whether an arc-out still keeps the arc from being struck.
func (t *trouble) holdsArc(torch *torch, now float64) bool {
	if t.Duration > 0 {
		return now < t.until
	}
	return torch.turned < t.left(torch)
}

// reached returns how far a pass has turned where the fault begins. A stroke meets
// an angle by its own way, once or not at all.
func (t *trouble) reached(torch *torch) float64 {
	if !torch.plan.stroked() {
		return t.from
	}
	s := torch.stroke()
	return wrap(s.way * (float64(t.From-torch.plan.StartAngle) - s.begin()))
}

// left returns how far a pass has turned where the fault ends.
func (t *trouble) left(torch *torch) float64 {
	if !torch.plan.stroked() || t.Turn == 0 {
		return t.to
	}
	return t.reached(torch) + wrap(torch.way*float64(t.To-t.From))
}

// apply adds an active fault to the conditions.
func (t *trouble) apply(c *conditions, torch *torch, now float64) {
	switch t.Kind {
	case GasLoss:
		c.gas *= t.Amount
	case ArcOut:
		c.arcOut = c.arcOut || t.holdsArc(torch, now)
	case WireSlip:
		c.feed *= t.Amount
	case StubbingTip:
		c.stubbing *= t.Amount
	case WrongVoltage:
		c.volts += t.Amount
	case OffCentre:
		c.standoff -= t.Amount * math.Cos(radians(torch.angle()-float64(t.Toward)))
	case OvalBore:
		// A quarter: half of it is the radius, half of that each side of the mean.
		c.standoff += t.Amount / 4 * math.Cos(2*radians(torch.angle()-float64(t.Toward)))
	case RotationDrift:
		c.rotation *= t.Amount
	case Interruption:
		c.rotation, c.halted = 0, c.halted || now < t.until
	case LinkLoss:
		c.lost = true
	}
}

func radians(degrees float64) float64 { return degrees * math.Pi / 180 }
