package analyze

import (
	"arctally/acquire/quantity"
	"arctally/analyze/procedure"
)

// TapedBy is what of a job decides what a tape says: all of it but the fields named here, none
// of which is read before the tape. Jobs that differ in nothing else may be judged by one tape.
//
// A field is named one by one, never with all that is in it: one that somebody adds to a job
// later goes back to the samples until it is named here, and a test changes each of them.
func TapedBy(job *procedure.Job) procedure.Job {
	j := *job
	j.Name, j.ProcedureFile, j.InUS, j.Typed = "", "", false, procedure.Typed{}
	j.People, j.Customer, j.Machine = procedure.People{}, procedure.Customer{}, procedure.Machine{}
	p := &j.Procedure
	p.Name, p.Process, p.Transfer, p.Typed = "", "", "", procedure.Typed{}
	withoutLimits(&p.Limits)
	withoutJudging(&p.Judge)
	withoutSetpoints(&j.Setpoints)
	j.Bore.FinishDiameter, j.Bore.WeldToDiameter, j.Bore.Axis = 0, 0, ""
	return j
}

func withoutLimits(l *procedure.Limits) {
	l.Voltage = quantity.Range[quantity.Volts]{}
	l.Current = quantity.Range[quantity.Amperes]{}
	l.WireSpeed = quantity.Range[quantity.MetresPerSecond]{}
	l.TravelSpeed = quantity.Range[quantity.MetresPerSecond]{}
	l.HeatInput = quantity.Range[quantity.JoulesPerMetre]{}
	l.Interpass = quantity.Range[quantity.Celsius]{}
	l.GasFlow = quantity.Range[quantity.CubicMetresPerSecond]{}
}

// withoutJudging leaves what tells arc from no arc.
func withoutJudging(j *procedure.Judge) {
	j.Definition, j.Power = "", 0
	j.AverageOver, j.Dwell, j.GuardBand, j.ArcOnTolerance = 0, 0, 0, 0
}

// withoutSetpoints leaves nothing: what the machine was set to is held against what it did,
// and makes the thickness of a layer.
func withoutSetpoints(s *procedure.Setpoints) {
	s.Voltage, s.Current, s.WireSpeed, s.TravelSpeed, s.CurrentPerDistance = 0, 0, 0, 0, 0
}
