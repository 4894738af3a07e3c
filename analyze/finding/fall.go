package finding

import (
	"math"

	"arctally/acquire/quantity"
	"arctally/analyze/pass"
)

// How a slow fall is looked for. A new arc burns hot, and a pass may end with a ramp: neither
// is part of it. A change of voltage by the share given, or more, is a ramp of the procedure:
// the current itself moves it by less, through leads and arc. A wire speed that falls by its
// share is the cause of what the current does. Ours, no source.
const (
	hotStart      = 2_000_000_000 // ns after a strike
	endOfPass     = 2_000_000_000 // ns before the end
	firstBin      = 500_000_000   // ns of arc
	mostBins      = 512
	fewestBins    = 20
	steadyVoltage = 0.05
	steadyWire    = 0.03
)

// slowBin is what some arc time of a pass sums up.
type slowBin struct {
	time, v, i    float64 // ns, V*ns, A*ns
	at, turns     float64 // tick and turns, each times ns
	wire, wireFor float64 // m/s times ns, and ns
	end           int64   // tick
}

func (b *slowBin) add(o slowBin) {
	b.time, b.v, b.i = b.time+o.time, b.v+o.v, b.i+o.i
	b.at, b.turns = b.at+o.at, b.turns+o.turns
	b.wire, b.wireFor = b.wire+o.wire, b.wireFor+o.wireFor
	b.end = o.end
}

// fall judges whether the current of a pass falls slowly, where voltage and wire speed stand.
// It keeps no more than mostBins; a longer pass has longer bins.
type fall struct {
	deaf
	*ledger
	struck int64
	length float64 // of a bin
	bins   []slowBin
	open   slowBin
	turned bool // turns are known
}

// Begin implements pass.Listener.
func (f *fall) Begin(_ *pass.Pass, at pass.Position) {
	f.struck, f.length, f.bins, f.open, f.turned = at.Tick, firstBin, f.bins[:0], slowBin{}, true
}

// Resume implements pass.Listener.
func (f *fall) Resume(_, to pass.Position, _ quantity.Seconds) { f.struck = to.Tick }

// Burn implements pass.Listener.
func (f *fall) Burn(b *pass.Bucket) {
	if b.Arc == 0 || b.Start-f.struck < hotStart {
		return
	}
	f.turned = f.turned && b.TurnsBasis != ""
	arc := float64(b.Arc)
	f.open.add(slowBin{time: arc, v: b.V, i: b.I, at: float64(b.End-f.pass.Start.Tick) * arc, turns: b.Turns * arc, end: b.End})
	if f.open.time >= f.length {
		f.put()
	}
}

// feed takes a reading of the wire speed, and for how many ns it stood while the arc burned.
func (f *fall) feed(speed float64, stood int64) {
	f.open.wire += speed * float64(stood)
	f.open.wireFor += float64(stood)
}

// put closes the open bin; where there are too many, each two become one.
func (f *fall) put() {
	f.bins = append(f.bins, f.open)
	f.open = slowBin{}
	if len(f.bins) < mostBins {
		return
	}
	for k := range mostBins / 2 {
		f.bins[k] = f.bins[2*k]
		f.bins[k].add(f.bins[2*k+1])
	}
	f.bins, f.length = f.bins[:mostBins/2], 2*f.length
}

// End implements pass.Listener.
func (f *fall) End(p *pass.Pass) {
	bins := f.bins
	for len(bins) > 0 && bins[len(bins)-1].end > p.End.Tick-endOfPass {
		bins = bins[:len(bins)-1]
	}
	if len(bins) < fewestBins {
		return
	}
	current := f.trend(bins, func(b *slowBin) float64 { return b.i / b.time })
	limit := float64(f.limits(CurrentFall).High)
	if -current.change-2*current.uncertainty < limit || !f.steady(bins) {
		return
	}
	found := overall(p, -current.change, limit)
	found.Rule = CurrentFall
	f.add(found)
}

// steady reports whether voltage and wire speed stood meanwhile; a wire speed that nobody
// read is taken for the set one.
func (f *fall) steady(bins []slowBin) bool {
	voltage := f.trend(bins, func(b *slowBin) float64 { return b.v / b.time })
	if math.Abs(voltage.change) > steadyVoltage {
		return false
	}
	var read []slowBin
	for k := range bins {
		if bins[k].wireFor > 0 {
			read = append(read, bins[k])
		}
	}
	if len(read) < fewestBins {
		return true
	}
	wire := f.trend(read, func(b *slowBin) float64 { return b.wire / b.wireFor })
	return wire.change > -steadyWire
}

// trend is by how much a channel changes over a pass.
type trend struct{ change, uncertainty float64 } // shares of its mean; standard uncertainty

// trend fits a straight line over the time of a pass, together with what repeats once and twice
// a turn: a torch off the centre, gravity and an oval bore swing the current, and a few
// turns of that look like a trend.
//
//	y = c + b*t + sum over q = 1, 2 of ( C*cos(2*pi*q*x) + S*sin(2*pi*q*x) )
//
// with the turns x. The columns are made orthogonal one by one, the time last, so that b is
// that of the time which nothing else explains, T:
//
//	b = sum(T*y)/sum(T^2)      u(b)^2 = s^2/sum(T^2) * (1 + r)/(1 - r)
//
// with the variance s^2 of what is left, and its correlation r from bin to bin where that is
// above 0: a current that wanders leaves fewer values than there are bins. Source: least squares, and
// the variance of a mean of a first-order autoregression; standing: memory, checked by
// constructed wander.
func (f *fall) trend(bins []slowBin, of func(*slowBin) float64) trend {
	n := len(bins)
	level, time, value := make([]float64, n), make([]float64, n), make([]float64, n)
	basis := [][]float64{level}
	for k := range bins {
		b := &bins[k]
		level[k], time[k], value[k] = 1, b.at/b.time, of(b)
	}
	for q := 1.0; f.turned && q <= 2; q++ {
		c, s := make([]float64, n), make([]float64, n)
		for k := range bins {
			s[k], c[k] = math.Sincos(2 * math.Pi * q * bins[k].turns / bins[k].time)
		}
		basis = append(basis, c, s)
	}
	mean, length := dot(value, level)/float64(n), time[n-1]-time[0]
	var kept [][]float64
	for _, column := range append(basis, time) {
		if orthogonal(column, kept) {
			kept = append(kept, column)
		}
	}
	return fitted(value, time, kept, length/mean)
}

// fitted returns the trend of a value over the time that nothing else explains, the last of
// the columns that are kept.
func fitted(value, time []float64, kept [][]float64, scale float64) trend {
	free := len(value) - len(kept)
	square := dot(time, time)
	if free < 1 || &kept[len(kept)-1][0] != &time[0] {
		return trend{uncertainty: math.Inf(1)}
	}
	slope := dot(value, time) / square
	orthogonal(value, kept)
	rest := dot(value, value)
	inflation := 1.0
	if r := dot(value[1:], value[:len(value)-1]) / rest; r > 0 {
		inflation = (1 + r) / (1 - r)
	}
	return trend{slope * scale, math.Abs(scale) * math.Sqrt(rest/float64(free)/square*inflation)}
}

// orthogonal takes from a column what others explain, and reports whether anything is left.
func orthogonal(column []float64, others [][]float64) bool {
	const nothing = 1e-9 // of its square
	before := dot(column, column)
	for _, o := range others {
		share := dot(column, o) / dot(o, o)
		for k := range column {
			column[k] -= share * o[k]
		}
	}
	return dot(column, column) > nothing*before
}

func dot(a, b []float64) float64 {
	sum := 0.0
	for k := range a {
		sum += a[k] * b[k]
	}
	return sum
}
