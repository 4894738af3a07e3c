package main

import (
	"fmt"
	"slices"
	"strings"

	"arctally/acquire/quantity"
	"arctally/acquire/sensorbox"
	planning "arctally/analyze/plan"
	"arctally/cmd/internal/explain"
)

// boxOptions say how a virtual sensor box lays a job.
type boxOptions struct {
	speed  float64 // so many seconds of the repair in one second
	layers int
	faults string // their names, or none
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

const (
	noFaults      = "none"
	defaultFaults = "arc-out,gas-loss,wire-slip"
)

func faultNames() (names []string) {
	for _, f := range demoFaults {
		names = append(names, f.name)
	}
	return names
}

// chosenFaults reads a list of names; each fault comes in the first layer but
// the wire slip, which comes in the last, so that no layer is without one.
func chosenFaults(list string, layers int) (faults []sensorbox.Fault, err error) {
	if list == noFaults {
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

// boxPlan has the box lay the job as it is planned.
func boxPlan(p *plan, layers int, faults []sensorbox.Fault) sensorbox.Plan {
	job := p.job
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

// plannedLayers stands for as many layers as the job's plan says.
const plannedLayers = 0

// planned fills in how many layers the plan of a job says; one where it cannot be
// planned.
func (o boxOptions) planned(p *plan) boxOptions {
	if o.layers != plannedLayers {
		return o
	}
	o.layers = 1
	if made, err := planning.Make(p.job, planning.Options{}); err == nil && len(made.Layers) > 0 {
		o.layers = len(made.Layers)
	}
	return o
}

// boxFor makes the virtual sensor box of the demo.
func boxFor(p *plan, o boxOptions) (*sensorbox.Box, error) {
	switch {
	case !(o.speed > 0):
		return nil, &explain.MisuseError{Command: "demo", Text: "the speed must be above zero"}
	case o.layers < 1:
		return nil, &explain.MisuseError{Command: "demo", Text: "at least one layer must be laid"}
	}
	faults, err := chosenFaults(o.faults, o.layers)
	if err != nil {
		return nil, err
	}
	laid := boxPlan(p, o.layers, faults)
	laid.PlaySpeed = o.speed
	box, err := sensorbox.New(laid)
	if err != nil {
		return nil, &explain.MisuseError{Command: "demo", Text: err.Error()}
	}
	return box, nil
}
