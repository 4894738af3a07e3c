package now

import (
	"math"

	"arctally/acquire/quantity"
	"arctally/analyze/bead"
	"arctally/analyze/bore"
	"arctally/analyze/finding"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
	"arctally/analyze/plan"
	"arctally/analyze/procedure"
)

// Torch tells what the arc does and where the torch is; a *pass.Splitter does.
type Torch interface {
	Now() (pass.Moment, bool)
	At(tick int64) pass.Position
	Burning() bool
	Since() (quantity.Seconds, bool)
	Off() (from pass.Position, off quantity.Seconds, out bool)
	UnderWay() (p pass.Pass, open bool)
	Layer() (number int, done quantity.Ratio)
	Parts() (number, planned int)
	Went() float64
	Turning() (quantity.TurnsPerSecond, heat.TravelBasis)
	Measured() bool
	PathPerTurn() quantity.Metres
}

// Judge tells what the channels come to, and what deviates; a *finding.Watch does.
type Judge interface {
	Means() finding.Means
	Open(now pass.Position, off quantity.Seconds) []finding.Open
	Seen() string
	Found() []finding.Finding
}

// Wall tells what the pass under way has laid in each cell; a *bead.Mapper does.
type Wall interface {
	WithoutCells() *bore.Map
	Present(row, column int) bead.Laid
}

// Watch looks on while a record is made. It is a pass.Listener.
type Watch struct {
	lastTurn
	job   *procedure.Job
	torch Torch
	judge Judge
	wall  Wall

	wire, gas, temperature reading

	layers  []plan.Layer // nil where the job cannot be planned
	planned bool         // whether that was tried
}

// NewWatch returns a watch over a job whose procedure is filled in. Follow must be
// called before anything is asked.
func NewWatch(job *procedure.Job, judge Judge, wall Wall) *Watch {
	return &Watch{job: job, judge: judge, wall: wall}
}

// Follow tells who knows where the torch is.
func (w *Watch) Follow(torch Torch) { w.torch = torch }

// WireSpeed takes a reading of the wire feed in m/s.
func (w *Watch) WireSpeed(tick int64, speed float64) { w.wire = reading{tick, speed, true} }

// GasFlow takes a reading of the gas flow in m3/s.
func (w *Watch) GasFlow(tick int64, flow float64) { w.gas = reading{tick, flow, true} }

// Temperature takes a reading of the workpiece in degrees Celsius.
func (w *Watch) Temperature(tick int64, celsius float64) {
	w.temperature = reading{tick, celsius, true}
}

// Epoch says that another clock counts from here on: readings by the former one
// have no age on it.
func (w *Watch) Epoch() { w.wire, w.gas, w.temperature = reading{}, reading{}, reading{} }

// Status returns what is true at this moment. Who knows how many passes, findings
// and warnings there are fills those in, and the newest tick.
func (w *Watch) Status() Status {
	var s Status
	s.Moment, s.Any = w.torch.Now()
	if !s.Any {
		return s
	}
	s.ArcOn = w.torch.Burning()
	if since, known := w.torch.Since(); known {
		s.Since = &since
	}
	here := w.torch.At(s.Moment.Tick)
	_, off, _ := w.torch.Off()
	s.Deviations, s.Seen = w.judge.Open(here, off), w.judge.Seen()
	w.gauges(&s)
	if p, under := w.torch.UnderWay(); under {
		s.Pass = progress(p, s.Moment)
		s.Forecast = w.forecast(s.Pass, here.Place)
	}
	s.Where = w.whereabouts(s.Pass, here)
	if s.Where != nil {
		s.InGap = new(w.job.Deposit.InGap(s.Where.Angle))
	}
	w.settings(&s)
	return s
}

// progress tells how far a pass has come.
func progress(p pass.Pass, now pass.Moment) *Progress {
	g := &Progress{Pass: p, SinceStart: quantity.SecondsOf(now.Tick - p.Start.Tick)}
	if planned := p.Course.Planned; planned > 0 {
		g.PlannedTurns = &planned
		if p.Turns != nil {
			g.Done = new(quantity.Ratio(min(1, *p.Turns/planned)))
		}
	}
	return g
}

// whereabouts tells where the torch is. Between passes only counted turns do.
func (w *Watch) whereabouts(p *Progress, here pass.Position) *Where {
	if here.Place == nil || p == nil && here.Basis != heat.TravelMeasured {
		return nil
	}
	told := &Where{Angle: here.Place.Angle, AngleUncertainty: here.Place.AngleUncertainty, Depth: here.Place.Depth, Basis: here.Basis}
	if p != nil {
		told.Turned = math.Abs(w.torch.Went())
		told.Turn = 1 + int(told.Turned)
		told.Part, told.Parts = w.part(p, told.Turn)
	}
	if layer, done := w.torch.Layer(); layer > 0 {
		told.Layer, told.LayerDone = layer, &done
	}
	return told
}

// part tells which of the equal parts of its layer the pass under way is laying: a turn of a
// helix, a ring, a stroke. What is beyond the plan has no number of all.
func (w *Watch) part(p *Progress, turn int) (number, all int) {
	number, all = w.torch.Parts()
	if w.job.Deposit.Pattern == bore.Helix {
		number, all = turn, 0
		if p.PlannedTurns != nil {
			all = int(math.Ceil(*p.PlannedTurns - hair))
		}
	}
	if number > all {
		all = 0
	}
	return number, all
}

// settings sets how the layers should be laid.
func (w *Watch) settings(s *Status) {
	if !w.planned {
		w.planned = true
		if p, err := plan.Make(w.job, plan.Options{}); err == nil {
			w.layers = p.Layers
		}
	}
	layer, _ := w.torch.Layer()
	if len(w.layers) == 0 || layer == 0 {
		return
	}
	s.PlannedLayers = new(len(w.layers))
	s.Layer, s.NextLayer = w.setting(layer), w.setting(layer+1)
}

func (w *Watch) setting(layer int) *LayerSetting {
	if layer > len(w.layers) {
		return nil
	}
	l := &w.layers[layer-1]
	return &LayerSetting{Layer: layer, Diameter: l.Diameter, Travel: l.Travel, Rotation: l.Rotation, Window: l.Window}
}
