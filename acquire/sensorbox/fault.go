package sensorbox

import (
	"fmt"
	"math"

	"arctally/acquire/quantity"
)

// FaultKind names what goes wrong.
type FaultKind string

// The faults that can be switched on, and what Fault.Amount means for each.
const (
	GasLoss       FaultKind = "gas loss"       // share of the gas flow that is left; the arc turns unsteady and hot
	ArcOut        FaultKind = "arc out"        // no amount: the arc is lost for the fault's time, then struck again
	WireSlip      FaultKind = "wire slip"      // share of the feed that is left
	StubbingTip   FaultKind = "stubbing tip"   // times that a short lasts: the wire comes in jerks, dives in unmelted, and must fuse
	WrongVoltage  FaultKind = "wrong voltage"  // V added to the source's line
	OffCentre     FaultKind = "off-centre"     // m by which the torch axis stands off, towards Toward
	OvalBore      FaultKind = "oval bore"      // m between the longest and the shortest diameter, longest towards Toward
	RotationDrift FaultKind = "rotation drift" // share of the rotation speed that is left; above 1 is too fast
	LinkLoss      FaultKind = "link loss"      // no amount: frames of the fault's time never arrive
	Reboot        FaultKind = "reboot"         // no amount: the box is silent for the fault's time, then a new epoch begins
	Interruption  FaultKind = "interruption"   // no amount: arc out and torch still for the fault's time, then a new pass goes on from there
)

// Fault is one thing that goes wrong, and where. The place is that of the torch.
type Fault struct {
	Kind FaultKind
	// Pass counts passes (helical layers, rings or strokes) of the plan from 1; 0 is every pass.
	Pass int
	// Turn counts turns of the pass from 1; 0 is the whole pass, and From, To
	// and Duration are then left at zero.
	Turn int
	// After is set where it begins as the pass has ended, whatever the torch does in
	// the pause: of LinkLoss and Reboot, with a Duration and without a Turn.
	After bool
	From  quantity.Degrees // angle at which it starts
	// To is the angle at which it ends, the first time the torch reaches it; a
	// fault with a Duration lasts that long instead.
	To       quantity.Degrees
	Duration quantity.Seconds
	Amount   float64          // see the kinds; 0 is the kind's default
	Toward   quantity.Degrees // OffCentre, OvalBore: direction
}

// defaultAmount also lists the kinds there are.
var defaultAmount = map[FaultKind]float64{
	GasLoss: 0.1, ArcOut: 0, WireSlip: 0.6, StubbingTip: 12, WrongVoltage: 3,
	OffCentre: 0.5e-3, OvalBore: 1e-3, RotationDrift: 0.7, LinkLoss: 0, Reboot: 0, Interruption: 0,
}

// amountRange is what a plan may ask for.
var amountRange = map[FaultKind][2]float64{
	GasLoss: {0, 0.9}, ArcOut: {0, 0}, WireSlip: {0.2, 1}, StubbingTip: {1, 30}, WrongVoltage: {-8, 8},
	OffCentre: {0, 4e-3}, OvalBore: {0, 8e-3}, RotationDrift: {0.2, 3}, LinkLoss: {0, 0}, Reboot: {0, 0}, Interruption: {0, 0},
}

func (p Plan) validateFaults() error {
	for k, f := range p.Faults {
		if err := p.validateFault(fmt.Sprintf("Faults[%d]", k), f); err != nil {
			return err
		}
	}
	return nil
}

func (p Plan) validateFault(field string, f Fault) error {
	limits, known := amountRange[f.Kind]
	turns := int(math.Ceil(p.turns() - 1e-9))
	switch {
	case !known:
		return flaw(field+".Kind", "%q is not known", f.Kind)
	case !(f.Amount >= limits[0] && f.Amount <= limits[1]):
		return flaw(field+".Amount", "%g is not within %g..%g for %s", f.Amount, limits[0], limits[1], f.Kind)
	case f.Pass < 0 || f.Pass > p.passes():
		return flaw(field+".Pass", "%d: the plan has passes 1 to %d", f.Pass, p.passes())
	case f.Turn < 0 || f.Turn > turns:
		return flaw(field+".Turn", "%d: a pass has turns 1 to %d", f.Turn, turns)
	case f.After && !(f.Turn == 0 && f.From == 0 && f.To == 0 && f.Duration > 0 && f.Duration <= 3600 && (f.Kind == LinkLoss || f.Kind == Reboot)):
		return flaw(field+".After", "only %s and %s begin after a pass, for a duration and without an angle", LinkLoss, Reboot)
	case f.After:
		return nil
	case f.Turn == 0 && (f.From != 0 || f.To != 0 || f.Duration != 0):
		return flaw(field+".Turn", "0 is the whole pass: it takes neither angles nor a duration")
	case f.Turn == 0 && (f.Kind == ArcOut || f.Kind == LinkLoss || f.Kind == Reboot || f.Kind == Interruption):
		return flaw(field+".Turn", "%s cannot last a whole pass", f.Kind)
	case !onCircle(f.From) || !onCircle(f.To) || !onCircle(f.Toward):
		return flaw(field, "angles are from 0 to 360 degrees")
	case f.Turn > 0 && f.Duration == 0 && f.From == f.To:
		return flaw(field+".Duration", "a fault within a turn needs a duration, or another angle to end at")
	case f.Kind == Interruption && f.Duration < leastInterruption:
		return flaw(field+".Duration", "%g s: an interruption shorter than %d s is an arc out", f.Duration, leastInterruption)
	case !(f.Duration >= 0 && f.Duration <= 3600):
		return flaw(field+".Duration", "%g s is not within 0..3600", f.Duration)
	}
	return nil
}

// turns returns the turns of one pass; a stroke begins none after its first.
func (p Plan) turns() float64 {
	if p.Pattern == Helix {
		return float64(p.Length / p.Pitch)
	}
	return 1
}

// Shape returns how many passes a layer of the plan has, and how many turns a pass.
func (p Plan) Shape() (passes, turns int) {
	p = p.withDefaults()
	return max(p.perLayer(), 1), max(int(math.Ceil(p.turns()-1e-9)), 1)
}

// rings returns how many rings a layer has, or strokes a segment; a helix counts as one.
func (p Plan) rings() int {
	if p.Pattern == Helix {
		return 1
	}
	return int(math.Floor(float64(p.Length/p.Pitch) + 1e-9))
}

// perLayer returns the passes of a layer.
func (p Plan) perLayer() int {
	if p.stroked() {
		return p.rings() * len(p.segments())
	}
	return p.rings()
}

func (p Plan) passes() int { return p.perLayer() * p.Layers }
