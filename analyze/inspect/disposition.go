package inspect

import (
	"arctally/acquire/quantity"
	"arctally/analyze/finding"
)

// Method is how a spot was inspected.
type Method string

// The methods; the words are those of the trade.
const (
	Visual           Method = "visual"
	LiquidPenetrant  Method = "liquid penetrant"
	MagneticParticle Method = "magnetic particle"
	Ultrasonic       Method = "ultrasonic"
	Measured         Method = "measured" // its dimension
	NoMethod         Method = "none"
)

// Methods are all of them, in the order in which a person is shown them.
var Methods = []Method{Visual, LiquidPenetrant, MagneticParticle, Ultrasonic, Measured, NoMethod}

// Result is what the inspection showed.
type Result string

// The results. An indication is what the method shows; whether it is acceptable
// is for the person and the acceptance criteria of the job.
const (
	NoIndication  Result = "no indication"
	Acceptable    Result = "indication acceptable"
	NotAcceptable Result = "indication not acceptable"
	NotInspected  Result = "not inspected"
)

// Results are all of them.
var Results = []Result{NoIndication, Acceptable, NotAcceptable, NotInspected}

// Decision is what is to be done about a finding.
type Decision string

// The decisions.
const (
	Accept       Decision = "accept"        // as it is
	Repair       Decision = "repair"        // weld again; open until a later entry
	MachinedAway Decision = "machined away" // the cut takes it, or has taken it
	KeepOpen     Decision = "keep open"
)

// Decisions are all of them.
var Decisions = []Decision{Accept, Repair, MachinedAway, KeepOpen}

// Disposition is what a person found and decided about one finding.
type Disposition struct {
	Of       Reference `json:"of"`
	Method   Method    `json:"method"`
	Result   Result    `json:"result"`
	Decision Decision  `json:"decision"`
	Remark   string    `json:"remark,omitempty"`
}

// Reference is a finding as it was judged when it was decided on. Rule, Epoch and
// TickNS are the key by which it is found again in another judgement; its number
// may be another one there. Findings of one rule that began at the same moment
// are at the same spot, and share what was decided.
type Reference struct {
	Rule     finding.Rule      `json:"rule"`
	Epoch    int               `json:"epoch"`
	TickNS   int64             `json:"tick_ns"`
	Number   int               `json:"number"` // as the person saw it
	Pass     int               `json:"pass"`
	Layer    int               `json:"layer,omitempty"` // 0 is not known
	Angle    *quantity.Degrees `json:"angle_deg"`       // nil is not known
	Depth    *quantity.Metres  `json:"depth_m"`
	Worst    float64           `json:"worst"` // SI unit of the rule
	Limit    float64           `json:"limit"`
	Sentence string            `json:"sentence"`
}

// Refer returns the reference to a finding.
func Refer(f *finding.Finding) Reference {
	r := Reference{
		Rule: f.Rule, Epoch: f.Start.Epoch, TickNS: f.Start.Tick, Number: f.Number, Pass: f.Pass, Layer: f.Layer,
		Worst: f.Worst, Limit: f.Limit, Sentence: f.Sentence,
	}
	if f.Place != nil {
		r.Angle, r.Depth = new(f.Place.Angle), new(f.Place.Depth)
	}
	return r
}
