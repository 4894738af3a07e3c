package finding

import (
	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
)

// Whereabouts tells where the torch is; a *pass.Splitter does.
type Whereabouts interface {
	At(tick int64) pass.Position
	PlaceOf(turns float64) *bore.Place
	PathPerTurn() quantity.Metres
}

// Watch holds what happens against the procedure and the plan. It is a
// pass.Listener.
type Watch struct {
	job   *procedure.Job
	where Whereabouts
	found []Finding

	current *pass.Pass
	burning bool
	last    pass.Position // end of the last bucket, or the start of the interval
	rested  pass.Position // where the arc went out

	voltage, amperage, travel *monitor
	wire, gas                 *monitor
	wireTick, gasTick         int64 // of the last reading
	gap                       gapWatch
	start                     start
	patches                   []*patch
	gathered                  int // findings that the patches know
	shape                     *shapeWatch
}

// NewWatch returns a watch for a job whose procedure is filled in.
func NewWatch(job *procedure.Job) *Watch {
	w := &Watch{job: job}
	l := job.Procedure.Limits
	w.voltage = w.monitor(Voltage, plain(l.Voltage))
	w.amperage = w.monitor(Current, plain(l.Current))
	w.travel = w.monitor(TravelSpeed, plain(l.TravelSpeed))
	w.wire = w.monitor(WireSpeed, plain(l.WireSpeed))
	w.gas = w.monitor(GasFlow, plain(l.GasFlow))
	w.shape = newShapeWatch(w)
	return w
}

// Follow tells the watch who knows where the torch is. It must be called once,
// before anything happens.
func (w *Watch) Follow(where Whereabouts) { w.where = where }

// Found returns the findings so far.
func (w *Watch) Found() []Finding { return w.found }

func (w *Watch) monitor(rule Rule, limits quantity.Range[quantity.Ratio]) *monitor {
	judge := w.job.Procedure.Judge
	m := &monitor{limits: limits, recent: slide{length: judge.AverageOver.Nanoseconds()}, dwell: judge.Dwell.Nanoseconds()}
	m.report = func(d deviation) { w.deviation(rule, d) }
	return m
}

// plain drops the dimension of a range; the numbers stay in SI.
func plain[Q quantity.Quantity](r quantity.Range[Q]) quantity.Range[quantity.Ratio] {
	return quantity.Range[quantity.Ratio]{
		Low: quantity.Ratio(r.Low), High: quantity.Ratio(r.High), HasLow: r.HasLow, HasHigh: r.HasHigh,
	}
}

// Begin implements pass.Listener.
func (w *Watch) Begin(p *pass.Pass, at pass.Position) {
	w.current = p
	w.strike(at)
	w.shape.begin(at)
	w.begins(p, at)
	w.goesOn(p, at)
}

// Resume implements pass.Listener.
func (w *Watch) Resume(from, to pass.Position, off quantity.Seconds) {
	w.arcOut(from, to, off)
	w.strike(to)
}

func (w *Watch) strike(at pass.Position) {
	w.burning, w.last = true, at
	w.shape.struck = at.Tick
	w.wireTick, w.gasTick = at.Tick, at.Tick
}

// Burn implements pass.Listener.
func (w *Watch) Burn(b *pass.Bucket) {
	if b.Arc > 0 {
		s := stretch{start: b.Start, end: b.End, weight: float64(b.Arc), turns: w.last.Turns}
		s.mean = b.V / s.weight
		w.voltage.add(s)
		s.mean = b.I / s.weight
		w.amperage.add(s)
	}
	if b.TurnsBasis == heat.TravelMeasured {
		w.turned(b)
	}
	w.last.Tick, w.last.Turns = b.End, b.Turns
	w.shape.burn(b)
}

// turned judges a stretch by how far the torch went on.
func (w *Watch) turned(b *pass.Bucket) {
	s := stretch{start: b.Start, end: b.End, weight: float64(b.End - b.Start), turns: w.last.Turns}
	path := (b.Turns - w.last.Turns) * float64(w.where.PathPerTurn())
	s.mean = max(path, -path) / s.weight * 1e9
	w.travel.add(s)
	w.inGap(b)
}

// Rest implements pass.Listener.
func (w *Watch) Rest(at pass.Position) {
	w.burning, w.rested = false, at
	s := stretch{start: at.Tick, end: at.Tick, turns: at.Turns}
	for _, m := range w.monitors() {
		m.rest(s)
	}
	w.leaveGap(at.Tick)
}

// End implements pass.Listener.
func (w *Watch) End(p *pass.Pass) {
	for _, m := range w.monitors() {
		m.end()
	}
	w.shape.end(p)
	w.setRight(p)
	w.wholePass(p)
	w.wall(p)
	w.start.ended, w.start.any = p.End, true
	w.shape.learn(p)
	w.current = nil
}

func (w *Watch) monitors() [5]*monitor {
	return [5]*monitor{w.voltage, w.amperage, w.travel, w.wire, w.gas}
}

// Wire takes a reading of the wire speed in m/s.
func (w *Watch) Wire(tick int64, speed float64) {
	if w.burning {
		w.shape.wireRead(speed, w.wireTick, tick)
	}
	w.wireTick = w.slow(w.wire, w.wireTick, tick, speed)
}

// Gas takes a reading of the gas flow in m^3/s.
func (w *Watch) Gas(tick int64, flow float64) {
	w.start.gasFlow = new(quantity.CubicMetresPerSecond(flow))
	w.gasTick = w.slow(w.gas, w.gasTick, tick, flow)
}

// slow hands a reading to its monitor; it stands for the time since the one
// before it, or since the arc was struck.
func (w *Watch) slow(m *monitor, since, tick int64, value float64) int64 {
	if w.burning && tick > since {
		turns := w.where.At(since).Turns
		m.add(stretch{start: since, end: tick, weight: float64(tick - since), mean: value, turns: turns})
	}
	return tick
}

// Temperature takes a reading beside the weld, judged as the next pass begins.
func (w *Watch) Temperature(t quantity.Celsius) { w.start.temperature = &t }
