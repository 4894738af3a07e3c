package now

import (
	"math"

	"arctally/acquire/quantity"
	"arctally/analyze/finding"
	"arctally/analyze/heat"
)

// Gauge is one channel as it stands.
type Gauge[Q quantity.Quantity] struct {
	Value *Q
	// Low and High are the lowest and the highest of the means over 10 ms that
	// the value is the mean of; only voltage and current have them.
	Low, High *Q
	Window    quantity.Range[Q] // of the procedure; zero where it has none
	State     WindowState
	// Age is how old the newest reading is; 0 for voltage and current.
	Age quantity.Seconds
}

// WindowState tells how a value stands to its window; the empty one is not
// judged: there is no window, no value, or the arc has burned for less time than
// the mean is taken over.
type WindowState string

// The states. Near is within a tenth of the window's width of a limit, or of the
// limit itself where there is only one. Ours; no source.
const (
	Inside   WindowState = "in window"
	NearEdge WindowState = "near a limit"
	Outside  WindowState = "outside"
)

// reading is the newest value of a slow channel.
type reading struct {
	tick  int64
	value float64
	any   bool
}

// age is how old it is at a tick.
func (r reading) age(tick int64) quantity.Seconds { return quantity.SecondsOf(max(0, tick-r.tick)) }

// gauge makes a gauge of a value that may be judged.
func gauge[Q quantity.Quantity](value float64, window quantity.Range[Q], judged bool) Gauge[Q] {
	g := Gauge[Q]{Value: new(Q(value)), Window: window}
	if judged {
		g.State = stateOf(Q(value), window)
	}
	return g
}

// StateIn tells how a value stands to a window; nil is not known.
func StateIn[Q quantity.Quantity](q *Q, window quantity.Range[Q]) WindowState {
	if q == nil {
		return ""
	}
	return stateOf(*q, window)
}

// nearShare is the part of a window, at either limit, that is near it.
const nearShare = 0.1

// stateOf tells how a value stands to a window.
func stateOf[Q quantity.Quantity](q Q, window quantity.Range[Q]) WindowState {
	if window.IsZero() {
		return ""
	}
	if window.Beyond(q) != 0 {
		return Outside
	}
	inner := window
	switch {
	case window.HasLow && window.HasHigh:
		edge := Q(nearShare * float64(window.High-window.Low))
		inner.Low, inner.High = window.Low+edge, window.High-edge
	default:
		inner.Low += Q(nearShare * math.Abs(float64(window.Low)))
		inner.High -= Q(nearShare * math.Abs(float64(window.High)))
	}
	if inner.Beyond(q) != 0 {
		return NearEdge
	}
	return Inside
}

// gauges sets the means of the channels.
func (w *Watch) gauges(s *Status) {
	limits, m, tick := w.job.Procedure.Limits, w.judge.Means(), s.Moment.Tick
	s.Voltage, s.Current = spread(m.Voltage, limits.Voltage), spread(m.Current, limits.Current)
	s.WireSpeed = ofReading(m.Wire, w.wire, limits.WireSpeed, tick)
	s.GasFlow = ofReading(m.Gas, w.gas, limits.GasFlow, tick)
	s.Temperature = ofReading(finding.Mean{}, w.temperature, limits.Interpass, tick)
	if t := w.temperature; t.any {
		s.Temperature.State = stateOf(quantity.Celsius(t.value), limits.Interpass)
	}
	w.travel(s, m.Travel)
}

// spread makes a gauge of a mean, with what it is the mean of.
func spread[Q quantity.Quantity](m finding.Mean, window quantity.Range[Q]) Gauge[Q] {
	if !m.Known {
		return Gauge[Q]{Window: window}
	}
	g := gauge(m.Value, window, m.Full)
	g.Low, g.High = new(Q(m.Low)), new(Q(m.High))
	return g
}

// ofReading makes a gauge of a mean of readings, or of the newest reading while
// there is no mean; that one is not judged.
func ofReading[Q quantity.Quantity](m finding.Mean, newest reading, window quantity.Range[Q], tick int64) Gauge[Q] {
	if !newest.any {
		return Gauge[Q]{Window: window}
	}
	g := gauge(newest.value, window, false)
	if m.Known {
		g = gauge(m.Value, window, m.Full)
	}
	g.Age = newest.age(tick)
	return g
}

// travel sets travel and rotation: by the mean of the counts, else, while the arc
// burns, by what the rotation is taken to be.
func (w *Watch) travel(s *Status, m finding.Mean) {
	window, around := w.job.Procedure.Limits.TravelSpeed, float64(w.torch.PathPerTurn())
	s.Travel.Window = window
	if around > 0 {
		s.Rotation.Window = quantity.Range[quantity.TurnsPerSecond]{
			Low: quantity.TurnsPerSecond(float64(window.Low) / around), HasLow: window.HasLow,
			High: quantity.TurnsPerSecond(float64(window.High) / around), HasHigh: window.HasHigh,
		}
	}
	declared := w.job.Setpoints.TravelSpeed
	switch n, basis := w.torch.Turning(); {
	case around > 0 && w.torch.Measured():
		s.TravelBasis = heat.TravelMeasured
		if m.Known {
			s.Travel = gauge(m.Value, window, m.Full)
			s.Rotation = gauge(m.Value/around, s.Rotation.Window, m.Full)
		}
	case !s.ArcOn:
	case around > 0 && n > 0:
		s.TravelBasis = basis
		s.Travel = gauge(float64(n)*around, window, true)
		s.Rotation = gauge(float64(n), s.Rotation.Window, true)
	case declared > 0:
		s.TravelBasis = heat.TravelDeclared
		s.Travel = gauge(float64(declared), window, true)
	}
}
