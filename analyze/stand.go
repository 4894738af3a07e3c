package analyze

import (
	"math"

	"arctally/acquire/quantity"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
	"arctally/analyze/plan"
)

// watched is what a Run keeps for those who look on. Nothing of it enters the
// result.
type watched struct {
	trail
	wire, gas, temperature reading

	layers  []plan.Layer // nil where the job cannot be planned
	planned bool

	doubts doubts // the warnings were counted at
	count  int
}

// doubts tell whether there can be more warnings than there were.
type doubts struct {
	events, passes, held, eras       int
	skipped, late, carried, diameter bool
}

// Standing returns where the arc stands right now. It changes nothing, and costs
// as much whatever the length of the record; like all of a Run, it is for one
// goroutine at a time.
func (r *Run) Standing() Standing {
	s := Standing{Newest: r.lanes.newest, Passes: len(r.passes), Findings: len(r.watch.Found()), Warnings: r.countWarnings()}
	s.Moment, s.Any = r.splitter.Now()
	if !s.Any {
		return s
	}
	s.ArcOn = r.splitter.Burning()
	if since, known := r.splitter.Since(); known {
		s.Since = &since
	}
	here := r.splitter.At(s.Moment.Tick)
	_, off, _ := r.splitter.Off()
	s.Deviations = r.watch.Open(here, off)
	r.gauges(&s)
	if p, under := r.splitter.UnderWay(); under {
		s.Pass = r.progress(p, s.Moment)
		s.Forecast = r.forecast(s.Pass, here.Place)
	}
	s.Where = r.whereabouts(s.Pass, here)
	if s.Where != nil {
		s.InGap = new(r.job.Deposit.InGap(s.Where.Angle))
	}
	r.settings(&s)
	return s
}

// progress tells how far a pass has come.
func (r *Run) progress(p pass.Pass, now pass.Moment) *Progress {
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
func (r *Run) whereabouts(p *Progress, here pass.Position) *Where {
	if here.Place == nil || p == nil && here.Basis != heat.TravelMeasured {
		return nil
	}
	w := &Where{Angle: here.Place.Angle, Depth: here.Place.Depth, Basis: here.Basis}
	if p != nil {
		w.Turned = math.Abs(r.splitter.Went())
		w.Turn = 1 + int(w.Turned)
	}
	if layer, done := r.splitter.Layer(); layer > 0 {
		w.Layer, w.LayerDone = layer, &done
	}
	return w
}

// settings sets how the layers should be laid.
func (r *Run) settings(s *Standing) {
	w := &r.watched
	if !w.planned {
		w.planned = true
		if p, err := plan.Make(r.job, plan.Options{}); err == nil {
			w.layers = p.Layers
		}
	}
	layer, _ := r.splitter.Layer()
	if len(w.layers) == 0 || layer == 0 {
		return
	}
	s.PlannedLayers = new(len(w.layers))
	s.Layer, s.NextLayer = w.setting(layer), w.setting(layer+1)
}

func (w *watched) setting(layer int) *LayerSetting {
	if layer > len(w.layers) {
		return nil
	}
	l := &w.layers[layer-1]
	return &LayerSetting{Layer: layer, Diameter: l.Diameter, Travel: l.Travel, Rotation: l.Rotation, Window: l.Window}
}

// countWarnings counts them anew only where a pass has ended, or there may be
// another one.
func (r *Run) countWarnings() int {
	d := r.splitter.Doubts()
	now := doubts{
		events: len(r.events), passes: len(r.passes), held: len(d.Held), eras: len(r.eras),
		skipped: d.Skipped > 0, late: r.late > 0, carried: d.CarriedAngles > 0, diameter: d.Diameter != nil,
	}
	if r.watched.count == 0 || now != r.watched.doubts {
		r.watched.doubts, r.watched.count = now, len(r.warnings())
	}
	return r.watched.count
}
