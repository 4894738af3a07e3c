package finding

import (
	"arctally/acquire/quantity"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
)

// channel is what is judged by its mean while the arc burns.
type channel uint8

const (
	unmeasured channel = iota // the rule is judged otherwise
	voltage
	current
	travel
	wireFeed
	gas
	channels
)

// means judges the channels by their means over the procedure's window.
type means struct {
	*ledger
	monitors [channels]*monitor // none for unmeasured
	burning  bool
	turns    float64         // where the torch was at the end of the last bucket, or at the strike
	last     [channels]int64 // tick of the last reading of a slow channel, or of the strike
}

func newMeans(l *ledger) *means {
	m := &means{ledger: l}
	judge := l.job.Procedure.Judge
	for k := range table {
		if r := &table[k]; r.mean != unmeasured {
			m.monitors[r.mean] = &monitor{
				rule: r.rule, limits: r.limit(l.job), recent: window{length: judge.AverageOver.Nanoseconds()}, dwell: judge.Dwell.Nanoseconds(),
				report: func(d deviation) { m.deviated(r.rule, d) },
			}
		}
	}
	return m
}

// deviated makes a finding of what a monitor reports. A slow channel that was read
// after the arc had gone out, before a sample told so, deviates from nothing.
func (m *means) deviated(rule Rule, d deviation) {
	if d.end.start < d.start.start {
		return
	}
	m.add(Finding{
		Rule: rule, Start: m.moment(d.start.start), Place: m.torch.PlaceOf(d.start.turns),
		Way: way(d.start.turns, d.end.turns), Duration: quantity.SecondsOf(d.end.start - d.start.start), Worst: d.worst, Limit: d.limit,
	})
}

// Begin implements pass.Listener.
func (m *means) Begin(_ *pass.Pass, at pass.Position) { m.strike(at) }

// Resume implements pass.Listener.
func (m *means) Resume(_, to pass.Position, _ quantity.Seconds) { m.strike(to) }

func (m *means) strike(at pass.Position) {
	m.burning, m.turns = true, at.Turns
	m.last[wireFeed], m.last[gas] = at.Tick, at.Tick
}

// Burn implements pass.Listener.
func (m *means) Burn(b *pass.Bucket) {
	if b.Arc > 0 {
		r := reading{start: b.Start, end: b.End, weight: float64(b.Arc), turns: m.turns}
		r.mean = b.V / r.weight
		m.monitors[voltage].add(r)
		r.mean = b.I / r.weight
		m.monitors[current].add(r)
	}
	if b.TurnsBasis == heat.TravelMeasured {
		r := reading{start: b.Start, end: b.End, weight: float64(b.End - b.Start), turns: m.turns}
		path := (b.Turns - m.turns) * float64(m.torch.PathPerTurn())
		r.mean = max(path, -path) / r.weight * 1e9
		m.monitors[travel].add(r)
	}
	m.turns = b.Turns
}

// read takes a reading of a slow channel. It stands for the time since the one
// before it, or since the arc was struck; how much of that the arc burned is
// returned, in ns.
func (m *means) read(c channel, tick int64, value float64) (stood int64) {
	since := m.last[c]
	m.last[c] = tick
	if !m.burning || tick <= since {
		return 0
	}
	m.monitors[c].add(reading{start: since, end: tick, weight: float64(tick - since), mean: value, turns: m.torch.At(since).Turns})
	return tick - since
}

// Rest implements pass.Listener.
func (m *means) Rest(at pass.Position) {
	m.burning = false
	for _, x := range m.monitors[voltage:] {
		x.rest(reading{start: at.Tick, end: at.Tick, turns: at.Turns})
	}
}

// End implements pass.Listener.
func (m *means) End(*pass.Pass) {
	for _, x := range m.monitors[voltage:] {
		x.end()
	}
}

// deviating reports whether any channel is out of its limits.
func (m *means) deviating() bool {
	for _, x := range m.monitors[voltage:] {
		if x.side != 0 {
			return true
		}
	}
	return false
}

// now returns the means as they stand.
func (m *means) now() Means {
	return Means{
		Voltage: m.monitors[voltage].now(), Current: m.monitors[current].now(), Travel: m.monitors[travel].now(),
		Wire: m.monitors[wireFeed].now(), Gas: m.monitors[gas].now(),
	}
}

// open returns the means that are out of their limits.
func (m *means) open(tick int64) (open []Open) {
	for _, x := range m.monitors[voltage:] {
		if x.side != 0 && x.inside == 0 {
			open = append(open, m.openOf(x, tick))
		}
	}
	return open
}

func (m *means) openOf(x *monitor, tick int64) Open {
	d := &x.deviation
	o := Open{
		Rule: x.rule, Since: m.moment(d.start.start), Place: m.widen(x.rule, m.torch.PlaceOf(d.start.turns)),
		Value: d.worst, Worst: d.worst, Limit: d.limit, Certain: d.out >= x.dwell, Paused: x.paused,
	}
	if x.paused {
		tick = d.end.start
	} else {
		o.Value = x.now().Value
	}
	o.Lasted, o.Beyond = quantity.SecondsOf(tick-d.start.start), o.Value-d.limit
	return o
}
