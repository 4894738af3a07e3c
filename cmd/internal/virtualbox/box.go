// Package virtualbox has the virtual sensor box lay a job as it is planned, with
// faults of one's choice, where no real one is at hand: for the demo, for the pages
// and for tests.
package virtualbox

import (
	"fmt"
	"slices"
	"strings"

	"arctally/acquire/quantity"
	"arctally/acquire/sensorbox"
	planning "arctally/analyze/plan"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/jobfile"
)

// Options say how a virtual sensor box lays a job.
type Options struct {
	Speed  float64 // so many seconds of the repair in one second
	Layers int
	Faults string // their names, or none
	Beside bool   // a second box measures what is not voltage and current
}

// demoFault is what goes wrong in the demo under one name.
type demoFault struct {
	name  string
	fault sensorbox.Fault
}

// demoFaults are placed apart from one another and from the gap.
var demoFaults = []demoFault{
	{"arc-out", sensorbox.Fault{Kind: sensorbox.ArcOut, Turn: 1, From: 250, Duration: 2}},
	{"gas-loss", sensorbox.Fault{Kind: sensorbox.GasLoss, Turn: 2, From: 200, Duration: 4}},
	{"wire-slip", sensorbox.Fault{Kind: sensorbox.WireSlip, Turn: 3, From: 150, Duration: 4}},
	{"wrong-voltage", sensorbox.Fault{Kind: sensorbox.WrongVoltage, Turn: 3, From: 270, Duration: 4}},
	{"stubbing-tip", sensorbox.Fault{Kind: sensorbox.StubbingTip, Turn: 4, From: 140, Duration: 4}},
	{"rotation-drift", sensorbox.Fault{Kind: sensorbox.RotationDrift, Turn: 4, From: 200, Duration: 6}},
	{"link-loss", sensorbox.Fault{Kind: sensorbox.LinkLoss, Turn: 2, From: 300, Duration: 0.5}},
	{"reboot", sensorbox.Fault{Kind: sensorbox.Reboot, Turn: 4, From: 300, Duration: 0.5}},
	{"off-centre", sensorbox.Fault{Kind: sensorbox.OffCentre, Toward: 180}},
	{"oval-bore", sensorbox.Fault{Kind: sensorbox.OvalBore, Toward: 90}},
}

// Lists of faults.
const (
	NoFaults      = "none"
	DefaultFaults = "arc-out,gas-loss,wire-slip"
)

// FaultNames are those that can be chosen.
func FaultNames() (names []string) {
	for _, f := range demoFaults {
		names = append(names, f.name)
	}
	return names
}

// Faults reads a list of names; each fault comes in the first layer but
// the wire slip, which comes in the last, so that no layer is without one.
func Faults(list string, layers int) (faults []sensorbox.Fault, err error) {
	if list == NoFaults {
		return nil, nil
	}
	for name := range strings.SplitSeq(list, ",") {
		k := slices.IndexFunc(demoFaults, func(f demoFault) bool { return f.name == strings.TrimSpace(name) })
		if k < 0 {
			return nil, &explain.MisuseError{Command: "demo", Text: fmt.Sprintf("there is no fault %q", name)}
		}
		f := demoFaults[k].fault
		f.Pass = 1
		if f.Kind == sensorbox.WireSlip {
			f.Pass = layers
		}
		faults = append(faults, f)
	}
	return faults, nil
}

// defaultGasFlow is our own figure, for a job whose procedure does not limit it.
var defaultGasFlow = quantity.Of[quantity.CubicMetresPerSecond](15, "L/min")

// Plan has the box lay the job as it is planned.
func Plan(p *jobfile.File, layers int, faults []sensorbox.Fault) sensorbox.Plan {
	job := p.Job
	laid := sensorbox.Plan{
		WornDiameter: job.Bore.WornDiameter, Length: job.Bore.Length,
		Pattern: sensorbox.Pattern(job.Deposit.Pattern), Pitch: job.Deposit.Pitch, Layers: layers,
		RotationSpeed: job.Rotation.Speed, StartAngle: job.Rotation.StartAngle,
		WireDiameter: job.Deposit.WireDiameter, Voltage: job.Setpoints.Voltage, Current: job.Setpoints.Current,
		WireSpeed: job.Setpoints.WireSpeed, GasFlow: defaultGasFlow, Hold: job.Procedure.Judge.Hold,
		Faults: faults, Seed: 1,
	}
	for _, gap := range job.Deposit.Gaps {
		laid.Gaps = append(laid.Gaps, sensorbox.Gap(gap))
	}
	if flow := job.Procedure.Limits.GasFlow; flow.HasLow && flow.HasHigh {
		laid.GasFlow = (flow.Low + flow.High) / 2
	}
	return laid
}

// PlannedLayers stands for as many layers as the job's plan says.
const PlannedLayers = 0

// Planned fills in how many layers the plan of a job says; one where it cannot be
// planned.
func (o Options) Planned(p *jobfile.File) Options {
	if o.Layers != PlannedLayers {
		return o
	}
	o.Layers = 1
	if made, err := planning.Make(p.Job, planning.Options{}); err == nil && len(made.Layers) > 0 {
		o.Layers = len(made.Layers)
	}
	return o
}

// within puts faults where the job has turns for them. What a helix does in its third
// turn, rings do in the third ring and strokes in the third stroke; of what is laid in
// fewer, it is the last.
func within(laid sensorbox.Plan, faults []sensorbox.Fault) []sensorbox.Fault {
	passes, turns := laid.Shape()
	moved := slices.Clone(faults)
	for k := range moved {
		f := &moved[k]
		turn := max(f.Turn, 1)
		f.Pass = (f.Pass-1)*passes + min(turn, passes)
		if f.Turn > 0 {
			f.Turn = min(f.Turn, turns)
		}
	}
	return moved
}

// New makes the virtual sensor boxes of the demo, first the one that tells the arc.
func New(p *jobfile.File, o Options) ([]*sensorbox.Box, error) {
	switch {
	case !(o.Speed > 0):
		return nil, &explain.MisuseError{Command: "demo", Text: "the speed must be above zero"}
	case o.Layers < 1:
		return nil, &explain.MisuseError{Command: "demo", Text: "at least one layer must be laid"}
	}
	faults, err := Faults(o.Faults, o.Layers)
	if err != nil {
		return nil, err
	}
	laid := Plan(p, o.Layers, nil)
	laid.Faults = within(laid, faults)
	laid.PlaySpeed = o.Speed
	plans := []sensorbox.Plan{laid}
	if o.Beside {
		plans = inParts(laid)
	}
	var boxes []*sensorbox.Box
	for _, plan := range plans {
		box, err := sensorbox.New(plan)
		if err != nil {
			return nil, &explain.MisuseError{Command: "demo", Text: err.Error()}
		}
		if len(boxes) > 0 {
			box.GoBeside(boxes[0])
		}
		boxes = append(boxes, box)
	}
	return boxes, nil
}

// inParts has two boxes share a plan. What goes wrong with a box goes wrong with the
// first one.
func inParts(laid sensorbox.Plan) []sensorbox.Plan {
	beside := laid
	laid.Part, beside.Part = sensorbox.ArcPart, sensorbox.BesidePart
	beside.Faults = slices.DeleteFunc(slices.Clone(laid.Faults), func(f sensorbox.Fault) bool {
		return f.Kind == sensorbox.LinkLoss || f.Kind == sensorbox.Reboot
	})
	return []sensorbox.Plan{laid, beside}
}
