package procedure

import (
	"go.yaml.in/yaml/v3"

	"arctally/acquire/quantity"
	"arctally/acquire/series"
	"arctally/analyze/plausible"
	"arctally/analyze/waveform"
)

// Processes lists the welding processes that a procedure may name.
func Processes() []string {
	return []string{"MAG", "MIG", "MMA", "TIG", "SAW", "plasma", "cored wire"}
}

// Transfers lists the modes of metal transfer that a procedure may name.
func Transfers() []string {
	return []string{string(waveform.Dip), string(waveform.Spray), string(waveform.Globular), string(waveform.Pulsed)}
}

// DefaultJudge returns how a procedure judges where it does not say: our own
// figures, from common practice, without a source. They leave the definition of
// heat input open, because nothing but the procedure can tell it.
func DefaultJudge() Judge {
	return Judge{
		Power:          series.Instantaneous,
		AverageOver:    0.5,
		Dwell:          1.0,
		Hold:           0.3,
		GuardBand:      1.0,
		ArcCurrent:     15,
		ArcVoltage:     8,
		ArcOnTolerance: 0.03,
	}
}

// ParseProcedure reads a procedure file. The error is Errors: every *Error in
// the file, in the order of its lines.
func ParseProcedure(file string, text []byte) (*Procedure, error) {
	return (&document{file: file}).procedure(text)
}

// ParseKeptProcedure is to ParseProcedure what ParseKeptJob is to ParseJob.
func ParseKeptProcedure(file string, text []byte) (*Procedure, error) {
	return (&document{file: file, kept: true}).procedure(text)
}

func (d *document) procedure(text []byte) (*Procedure, error) {
	p := &Procedure{}
	if top := d.root(text); top != nil {
		p.read(d, top)
	}
	if err := d.errors.sorted(); err != nil {
		return nil, err
	}
	return p, nil
}

func (p *Procedure) read(d *document, top *yaml.Node) {
	s := d.section(top, "", "procedure", "process", "transfer", "limits", "judge", "sure")
	s.need("procedure", "process", "limits")
	p.Name = s.text("procedure")
	p.Process = s.choice("process", Processes()...)
	p.Transfer = s.choice("transfer", Transfers()...)
	p.Judge = DefaultJudge()
	if judge, ok := s.sub("judge", judgeKeys...); ok {
		p.Judge.read(judge)
	}
	p.readLimits(s)
	p.Typed = s.settle()
}

func (p *Procedure) readLimits(s section) {
	limits, ok := s.sub("limits", "voltage", "current", "wire_speed", "travel_speed", "heat_input", "interpass", "gas_flow")
	if !ok {
		return
	}
	p.Limits.read(limits)
	if !p.Limits.HeatInput.IsZero() && p.Judge.Definition == "" {
		s.doc.fail(limits.values["heat_input"], "limits.heat_input needs judge.definition: write %s or %s", EN1011, ArcEnergy)
	}
	toldFrom(limits, "current", p.Limits.Current, "judge.arc_current", p.Judge.ArcCurrent, "A")
	toldFrom(limits, "voltage", p.Limits.Voltage, "judge.arc_voltage", p.Judge.ArcVoltage, "V")
}

// toldFrom doubts a threshold of the arc that an arc within the limits may not reach.
func toldFrom[Q quantity.Quantity](limits section, key string, window quantity.Range[Q], field string, threshold Q, unit string) {
	if !window.HasLow || threshold < window.Low {
		return
	}
	n := limits.values[key]
	limits.doc.doubt(n, &plausible.Doubt{
		Field: field, Value: quantity.Text(threshold, unit, -1), Usual: "below the lower limit, " + quantity.Text(window.Low, unit, -1),
		Why: "an arc within the limits would be called off",
	})
}

// absoluteZero is -273.15 degC, by definition of the scale.
const absoluteZero quantity.Celsius = -273.15

func (l *Limits) read(s section) {
	l.Voltage = window[quantity.Volts](s, "voltage", 0)
	l.Current = window[quantity.Amperes](s, "current", 0)
	l.WireSpeed = window[quantity.MetresPerSecond](s, "wire_speed", 0)
	l.TravelSpeed = window[quantity.MetresPerSecond](s, "travel_speed", 0)
	l.HeatInput = window[quantity.JoulesPerMetre](s, "heat_input", 0)
	l.Interpass = window(s, "interpass", absoluteZero)
	l.GasFlow = window[quantity.CubicMetresPerSecond](s, "gas_flow", 0)
}

var judgeKeys = []string{
	"definition", "power", "average_over", "dwell", "hold", "guard_band",
	"arc_current", "arc_voltage", "arc_on_tolerance",
}

// read takes what the procedure says over the defaults that are there.
func (j *Judge) read(s section) {
	j.Definition = Definition(s.choice("definition", string(EN1011), string(ArcEnergy)))
	if s.choice("power", series.Instantaneous.String(), series.Average.String()) == series.Average.String() {
		j.Power = series.Average
	}
	j.AverageOver = positiveOr(s, "average_over", j.AverageOver)
	j.Dwell = notNegative(s, "dwell", j.Dwell)
	j.Hold = notNegative(s, "hold", j.Hold)
	j.GuardBand = float64(notNegative(s, "guard_band", quantity.Ratio(j.GuardBand)))
	j.ArcCurrent = positiveOr(s, "arc_current", j.ArcCurrent)
	j.ArcVoltage = positiveOr(s, "arc_voltage", j.ArcVoltage)
	j.ArcOnTolerance = percent(s, "arc_on_tolerance", j.ArcOnTolerance)
}
