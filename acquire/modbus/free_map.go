package modbus

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"arctally/acquire"
	"arctally/acquire/link"
	"arctally/acquire/series"
)

// mostSpare is how many registers that nobody wants are read along to save a request. A
// slave that has none there refuses, and is asked for what is listed alone. Ours, no
// source.
const mostSpare = 16

// Codes of voltage and current that come as fractions: as those of the text links.
const (
	floatVoltsPerCode   = 1e-6
	floatAmperesPerCode = 1e-5
)

// freeMap reads the registers that a job lists. It knows neither the clock of the slave
// nor what it missed: a tick is the host's, in the middle of the exchange, and what
// follows a missed poll does not follow what was before.
type freeMap struct {
	unit      uint8
	registers []series.Register // as channels, voltage and current first
	arc       bool              // they have both
	source    series.Source
	spans     []span16
	apart     bool // no register is read along
	begun     time.Time
	skewKnown bool

	reading  link.Reading
	blocks   [2]series.Block
	voltage  [1]int32
	current  [1]int32
	channels []uint8
	values   []float64
	ticks    []int64
}

// span16 is registers that one request asks for, and the values in them.
type span16 struct {
	request Request
	values  []int // indexes of freeMap.registers
}

func newFreeMap(c Config) *freeMap {
	m := &freeMap{unit: c.Slave.Unit, registers: slices.Clone(c.Slave.Registers), source: c.source()}
	slices.SortStableFunc(m.registers, func(a, b series.Register) int { return cmp.Compare(rank(a), rank(b)) })
	m.arc = len(m.registers) >= 2 && rank(m.registers[0]) == 0 && rank(m.registers[1]) == 1
	for _, r := range m.registers {
		m.source.Channels = append(m.source.Channels, channelOf(r))
	}
	m.spans = m.plan(mostSpare)
	return m
}

// rank puts voltage and current first.
func rank(r series.Register) int {
	if k := slices.Index([]string{"voltage", "current"}, r.Channel); k >= 0 {
		return k
	}
	return 2
}

// channelOf describes what comes of a register: codes of voltage and current, values of
// all others.
func channelOf(r series.Register) series.Channel {
	c := series.Channel{Name: r.Channel, Unit: r.Unit, Scale: 1, Basis: series.Average}
	switch {
	case rank(r) > 1:
	case r.Type == series.F32:
		c.Scale = floatVoltsPerCode
		if r.Channel == "current" {
			c.Scale = floatAmperesPerCode
		}
	default:
		c.Scale, c.Offset, c.Bits = r.Scale, r.Offset, 16*r.Type.Words()
	}
	return c
}

// plan joins registers of one function that lie close together into one request. The
// requests for voltage and current come first, one after the other.
func (m *freeMap) plan(spare int) (spans []span16) {
	order := make([]int, len(m.registers))
	for k := range order {
		order[k] = k
	}
	slices.SortStableFunc(order, func(a, b int) int {
		x, y := m.registers[a], m.registers[b]
		return cmp.Or(cmp.Compare(x.Function, y.Function), cmp.Compare(x.Address, y.Address))
	})
	for _, k := range order {
		r := m.registers[k]
		if n := len(spans); n == 0 || !spans[n-1].join(r, k, spare) {
			spans = append(spans, span16{Request{m.unit, r.Function, r.Address, uint16(r.Type.Words())}, []int{k}})
		}
	}
	slices.SortStableFunc(spans, func(a, b span16) int { return cmp.Compare(slices.Min(a.values), slices.Min(b.values)) })
	return spans
}

// join takes a register in that lies at or behind the beginning of the span, or reports
// that it is too far off.
func (s *span16) join(r series.Register, index, spare int) bool {
	end := int(s.request.Address) + int(s.request.Count)
	until := max(end, int(r.Address)+r.Type.Words())
	if r.Function != s.request.Function || int(r.Address) > end+spare || until-int(s.request.Address) > MostRegisters {
		return false
	}
	s.request.Count = uint16(until - int(s.request.Address))
	s.values = append(s.values, index)
	return true
}

func (m *freeMap) description() series.Source { return m.source }

// settling implements mapping.
func (m *freeMap) settling() time.Duration {
	if len(m.plan(0)) > 1 {
		return longQuiet
	}
	return quiet
}

func (m *freeMap) finish(acquire.Listener) {}

// poll implements mapping.
func (m *freeMap) poll(ask asker, to acquire.Listener) error {
	values := make([]raw, len(m.registers))
	var first, last exchange
	for n, s := range m.spans {
		x, err := ask(s.request)
		switch {
		case err != nil:
			return m.refused(err)
		case n > 0 && x.late:
			return &Error{Kind: Twice, Request: s.request}
		case n == 0:
			first = x
		}
		last = x
		for _, k := range s.values {
			r := m.registers[k]
			at := 2 * int(r.Address-s.request.Address)
			values[k] = raw{numberIn(x.registers[at:], r), x}
		}
	}
	if m.begun.IsZero() {
		m.begun = first.middle()
	}
	m.declareSkew(values)
	if err := m.read(values); err != nil {
		return err
	}
	m.reading.Asked = first.asked
	to.Heard(last.answered, &m.reading, nil)
	return nil
}

// refused has the map read without a register more than is listed, where the slave has
// none beside them.
func (m *freeMap) refused(err error) error {
	if e, ok := err.(*Error); ok && e.Kind == Refused && e.Exception != IllegalFunction && e.Exception.lasting() && !m.apart {
		if apart := m.plan(0); len(apart) > len(m.spans) {
			m.apart, m.spans = true, apart
			return errAgain
		}
	}
	return err
}

// raw is what stood in the registers of one value, and how it was asked for.
type raw struct {
	number float64
	of     exchange
}

// middle is when a value is taken to have been read: half of the exchange more or less.
func (x exchange) middle() time.Time { return x.asked.Add(x.answered.Sub(x.asked) / 2) }

// numberIn returns the number in the registers of a value. A whole number of 32 bits, and a
// float of as many, are held exactly.
func numberIn(p []byte, r series.Register) float64 {
	high := uint32(p[0])<<8 | uint32(p[1])
	switch r.Type {
	case series.U16:
		return float64(high)
	case series.I16:
		return float64(int16(high))
	}
	low := uint32(p[2])<<8 | uint32(p[3])
	if r.LowFirst {
		high, low = low, high
	}
	switch bits := high<<16 | low; r.Type {
	case series.U32:
		return float64(bits)
	case series.I32:
		return float64(int32(bits))
	default:
		return float64(math.Float32frombits(bits))
	}
}

// declareSkew says how much later current is read than voltage, where they come by two
// requests.
func (m *freeMap) declareSkew(values []raw) {
	if m.skewKnown || !m.arc {
		return
	}
	m.skewKnown = true
	skew := values[series.CurrentChannel].of.middle().Sub(values[series.VoltageChannel].of.middle())
	if skew != 0 {
		m.source.Skew = series.Stated{Value: float64(skew.Microseconds()), Known: true}
	}
}

// read makes the reading of what was read.
func (m *freeMap) read(values []raw) error {
	m.reading = link.Reading{Tick: m.tick(values[0]), Source: new(m.source), Blocks: m.blocks[:0]}
	m.channels, m.values, m.ticks = m.channels[:0], m.values[:0], m.ticks[:0]
	if m.arc {
		for k, codes := range []*[1]int32{&m.voltage, &m.current} {
			code, err := m.code(m.registers[k], values[k])
			if err != nil {
				return err
			}
			codes[0] = code
		}
		m.reading.Blocks = append(m.reading.Blocks, series.Block{Kind: series.Arc, Tick: m.reading.Tick, V: m.voltage[:], I: m.current[:]})
	}
	first := 0
	if m.arc {
		first = series.CurrentChannel + 1
	}
	for k := first; k < len(values); k++ {
		r := m.registers[k]
		value := values[k].number*r.Scale + r.Offset
		if math.IsNaN(value) || math.IsInf(value, 0) {
			return m.bad(r, values[k])
		}
		m.channels, m.values, m.ticks = append(m.channels, uint8(k)), append(m.values, value), append(m.ticks, m.tick(values[k]))
	}
	if len(m.values) > 0 {
		m.reading.Blocks = append(m.reading.Blocks, series.Block{
			Kind: series.Slow, Tick: m.ticks[0], Ticks: m.ticks, Channel: m.channels, Value: m.values,
		})
	}
	return nil
}

// tick is the time of a value since the first poll.
func (m *freeMap) tick(v raw) int64 { return v.of.middle().Sub(m.begun).Nanoseconds() }

// code returns the code of a voltage or a current.
func (m *freeMap) code(r series.Register, v raw) (int32, error) {
	code := v.number
	if r.Type == series.F32 {
		code = math.Round((v.number*r.Scale + r.Offset) / channelOf(r).Scale)
	}
	if !(math.Abs(code) <= math.MaxInt32) { // nor is it no number
		return 0, m.bad(r, v)
	}
	return int32(code), nil
}

func (m *freeMap) bad(r series.Register, v raw) error {
	return &Error{
		Kind: BadValue, Request: Request{m.unit, r.Function, r.Address, uint16(r.Type.Words())},
		Detail: fmt.Sprintf("%s as %s is %v", r.Channel, r.Type, v.number),
	}
}
