package finding

import (
	"cmp"
	"slices"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
)

// Open is a deviation that is still in progress.
type Open struct {
	Rule   Rule
	Since  pass.Moment
	Place  *bore.Place // where it began; nil where the angle is not known
	Lasted quantity.Seconds
	Value  float64 // the present one, SI unit of the rule
	Worst  float64
	Limit  float64
	Beyond float64 // Value - Limit, signed
	// Certain is set where it has lasted for so long already that it will be a
	// finding.
	Certain bool
	Paused  bool // the arc is out; it goes on if the next arc interval begins with it
}

// Mean is the mean of a channel over the procedure's window, or over what there
// is of it since the arc was struck.
type Mean struct {
	Value     float64
	Low, High float64 // of what it is the mean of
	Known     bool
	Full      bool // the window is, so that it is judged
}

// Means are the means as they stand, in SI units.
type Means struct{ Voltage, Current, Travel, Wire, Gas Mean }

// Means returns the means as they stand; none is known while the arc is out, and
// none of the travel where no turns are counted.
func (w *Watch) Means() Means {
	return Means{w.voltage.now(), w.amperage.now(), w.travel.now(), w.wire.now(), w.gas.now()}
}

func (m *monitor) now() Mean {
	if len(m.recent.items) == 0 {
		return Mean{}
	}
	inner := m.recent.items[m.recent.inner:]
	n := Mean{Low: inner[0].mean, High: inner[0].mean}
	for k := range inner {
		n.Low, n.High = min(n.Low, inner[k].mean), max(n.High, inner[k].mean)
	}
	if n.Known = m.recent.weight > 0; n.Known {
		n.Value = m.recent.sum / m.recent.weight
	}
	_, n.Full = m.recent.mean()
	return n
}

// Open returns the deviations that are in progress at a place, the one that began
// first in front. While the arc is out, off is for how long that is known.
func (w *Watch) Open(now pass.Position, off quantity.Seconds) []Open {
	if w.current == nil {
		return nil
	}
	var open []Open
	for k, m := range w.monitors() {
		if m.side != 0 && m.inside == 0 {
			open = append(open, w.openOf(monitored[k], m, now.Tick))
		}
	}
	open = append(open, w.openOut(now, off)...)
	if lasted := quantity.SecondsOf(now.Tick - w.gap.start); w.gap.inside {
		dwell := w.job.Procedure.Judge.Dwell
		open = append(open, Open{
			Rule: ArcInGap, Since: pass.Moment{Epoch: w.last.Epoch, Tick: w.gap.start}, Place: w.gap.place, Lasted: lasted,
			Value: float64(lasted), Worst: float64(lasted), Limit: float64(dwell), Beyond: float64(lasted - dwell), Certain: lasted >= dwell,
		})
	}
	slices.SortStableFunc(open, func(a, b Open) int { return cmp.Compare(a.Since.Tick, b.Since.Tick) })
	return open
}

// monitored names the monitors, in their order.
var monitored = [...]Rule{Voltage, Current, TravelSpeed, WireSpeed, GasFlow}

func (w *Watch) openOf(rule Rule, m *monitor, tick int64) Open {
	d := &m.open
	o := Open{
		Rule: rule, Since: pass.Moment{Epoch: w.last.Epoch, Tick: d.start.start}, Place: w.where.PlaceOf(d.start.turns),
		Value: d.worst, Worst: d.worst, Limit: d.limit, Certain: d.out >= m.dwell, Paused: m.paused,
	}
	if m.paused {
		tick = d.end.start
	} else if n := m.now(); n.Known {
		o.Value = n.Value
	}
	o.Lasted, o.Beyond = quantity.SecondsOf(tick-d.start.start), o.Value-d.limit
	return o
}

// openOut returns for how long the arc has been out where the plan has it burning.
// Where only the declared rotation tells, a planned gap cannot be told from that
// before it has lasted for too long for one.
func (w *Watch) openOut(now pass.Position, off quantity.Seconds) (open []Open) {
	if w.burning || off <= 0 || now.Basis != heat.TravelMeasured && w.mayBeGap(off) {
		return nil
	}
	for _, f := range w.outs(w.rested, now, off) {
		open = append(open, Open{
			Rule: f.Rule, Since: f.Start, Place: f.Place, Lasted: f.Duration,
			Value: f.Worst, Worst: f.Worst, Limit: f.Limit, Beyond: f.Worst - f.Limit, Certain: true,
		})
	}
	return open
}
