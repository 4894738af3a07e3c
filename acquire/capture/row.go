package capture

import "math"

// state tells what a row of data is worth.
type state uint8

const (
	good state = iota
	noValue
	unreadable
)

// row is one row of data.
type row struct {
	line  int64
	index int64 // of the rows of data, from 0; unreadable ones count
	state state
	why   string // unreadable: what is wrong
	text  string // unreadable: how it begins

	tick    int64 // meaningless where unreadable
	v, i    number
	flag    bool
	speed   float64 // m/s; NaN is unknown
	length  float64 // m; NaN is unknown
	turns   number
	turned  bool              // turns is known
	place   [mostAxes]float64 // m; NaN is unknown
	travel  float64           // m/s; NaN is unknown
	noWire  bool
	epoch   int
	wrapped bool // the clock began a new hour or day with this row
}

// parser turns lines into rows; it allocates nothing for a row that can be read.
type parser struct {
	*plan
	fields [][]byte
	joined []byte
}

func (p *parser) parse(line []byte, r *row) {
	p.fields = split(line, p.separator, p.fields[:0])
	r.state, r.why, r.noWire = good, "", false
	if len(p.fields) != p.columns {
		r.fail("wrong number of fields")
		return
	}
	if p.stamps != nil {
		tick, ok := p.stamps.parse(p.timeField())
		if !ok {
			r.fail("the time cannot be read")
			return
		}
		r.tick = tick
	}
	r.v = p.number(p.voltage, r, "the voltage is not a number")
	r.i = p.number(p.current, r, "the current is not a number")
	if p.flag.given() {
		r.flag = p.arcOn(r)
	}
	r.speed = p.optional(p.wireSpeed, r)
	r.length = p.optional(p.wireLength, r)
	p.way(r)
}

func (r *row) fail(why string) { r.state, r.why = unreadable, why }

// timeField returns the field of the time, or several joined by a space.
func (p *parser) timeField() []byte {
	if len(p.time.at) == 1 {
		return trim(p.fields[p.time.at[0]])
	}
	p.joined = p.joined[:0]
	for k, at := range p.time.at {
		if k > 0 {
			p.joined = append(p.joined, ' ')
		}
		p.joined = append(p.joined, trim(p.fields[at])...)
	}
	return p.joined
}

func (p *parser) number(c column, r *row, why string) number {
	f := trim(p.fields[c.at[0]])
	if len(f) == 0 {
		r.state = max(r.state, noValue)
		return number{}
	}
	n, ok := parseNumber(f, p.point)
	if !ok || n.mantissa/powers[n.decimals] > math.MaxInt32 || n.mantissa/powers[n.decimals] < -math.MaxInt32 {
		r.fail(why)
	}
	return n
}

func (p *parser) arcOn(r *row) bool {
	f := trim(p.fields[p.flag.at[0]])
	if len(f) == 0 {
		r.state = max(r.state, noValue)
		return false
	}
	on, ok := parseFlag(f, p.point)
	if !ok {
		r.fail("the arc flag is neither a number nor true or false")
	}
	return on
}

// optional returns the value of a column that a row may do without.
func (p *parser) optional(c column, r *row) float64 {
	if !c.given() {
		return math.NaN()
	}
	n, ok := p.maybeNumber(c.at[0], r)
	if !ok {
		return math.NaN()
	}
	return n.value() * c.factor.value()
}

// maybeNumber reads a field that a row may do without.
func (p *parser) maybeNumber(at int, r *row) (number, bool) {
	n, ok := parseNumber(trim(p.fields[at]), p.point)
	r.noWire = r.noWire || !ok
	return n, ok
}

// way reads where the torch is, and how it goes.
func (p *parser) way(r *row) {
	r.travel = p.optional(p.travel, r)
	for k, at := range p.position.at {
		r.place[k] = math.NaN()
		if n, ok := p.maybeNumber(at, r); ok {
			r.place[k] = n.value() * p.position.factor.value()
		}
	}
	if r.turned = p.turns.given(); r.turned {
		r.turns, r.turned = p.maybeNumber(p.turns.at[0], r)
	}
}

func parseFlag(f []byte, point byte) (on, ok bool) {
	if len(f) == 1 && f[0]-'0' <= 9 {
		return f[0] != '0', true
	}
	switch string(f) {
	case "true", "True", "TRUE", "on", "On", "ON", "yes", "Yes", "YES":
		return true, true
	case "false", "False", "FALSE", "off", "Off", "OFF", "no", "No", "NO":
		return false, true
	}
	n, ok := parseNumber(f, point)
	return n.mantissa != 0, ok
}
