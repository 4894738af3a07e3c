package live

import (
	"math"
	"slices"
	"time"

	"arctally/acquire/calib"
	"arctally/acquire/quantity"
	"arctally/acquire/series"
	"arctally/report/sheet"
)

// How a recording is told to the pages.
const (
	Every         = 100 * time.Millisecond // on the clock of the host, between two states
	CellsPerEvent = 40                     // that an event of the strip may hold
)

const (
	stripStep  = 50 * time.Millisecond // of the box
	stripCells = 600                   // half a minute of such steps
)

// Roll keeps the extremes and means of short equal stretches of box time.
type Roll struct {
	step     int64 // ns
	epoch    int
	register calib.Register
	lines    []stripLine // voltage, current, and wire speed where the source has it
	wire     int         // channel of the source; -1 is none
}

// stripLine is one channel.
type stripLine struct {
	channel, unit string
	calib.Line    // from code to unit
	asRead        calib.Line
	broken        bool // something is missing before the next sample
	open          stripCell
	closed        []stripCell
	told          int // of closed: those that an event has told of
}

// stripCell is one stretch; without a sample it breaks the line.
type stripCell struct {
	index          int64 // tick / step
	count          float64
	low, high, sum float64
}

// NewRoll chooses the stretch for a box that lives so many seconds in one of the
// host, so that an event holds no more than a few.
func NewRoll(speed float64, register calib.Register) *Roll {
	perEvent := speed * Every.Seconds() / CellsPerEvent
	steps := max(1, math.Ceil(perEvent/stripStep.Seconds()))
	return &Roll{step: int64(steps) * stripStep.Nanoseconds(), register: register, wire: -1}
}

// Source begins the lines anew for a source that says something new of itself.
func (s *Roll) Source(source series.Source) {
	s.lines, s.wire = nil, -1
	s.register.Speakers = append(slices.Clip(s.register.Speakers), calib.Speaker{Epoch: math.MaxInt, Source: source})
	for k, c := range source.Channels {
		line := stripLine{channel: c.Name, unit: c.Unit, Line: s.register.Corrected(calib.LineOf(c), c, math.MaxInt, 0), asRead: calib.LineOf(c)}
		switch {
		case k == series.VoltageChannel, k == series.CurrentChannel:
		case c.Name == wireChannel:
			s.wire, line.unit = k, wireUnit
			toUnit := quantity.In(quantity.Of[quantity.MetresPerSecond](1, c.Unit), wireUnit)
			line.Line = s.register.Corrected(calib.InUnit(), c, math.MaxInt, 0).Times(toUnit)
		default:
			continue
		}
		s.lines = append(s.lines, line)
	}
}

// Block adds samples.
func (s *Roll) Block(b *series.Block) {
	if len(s.lines) < 2 {
		return
	}
	if b.Epoch != s.epoch {
		s.epoch = b.Epoch
		for k := range s.lines {
			l := &s.lines[k]
			l.open, l.closed, l.told = stripCell{}, nil, 0
		}
	}
	v, i := &s.lines[series.VoltageChannel], &s.lines[series.CurrentChannel]
	switch b.Kind {
	case series.Arc:
		v.broken, i.broken = v.broken || b.Break, i.broken || b.Break
		for k := range b.V {
			index := b.At(k) / s.step
			v.add(index, float64(b.V[k]), float64(b.V[k]), float64(b.V[k]), 1)
			i.add(index, float64(b.I[k]), float64(b.I[k]), float64(b.I[k]), 1)
		}
	case series.Sums:
		if n := float64(b.Sum.Count); n > 0 {
			v.broken, i.broken = v.broken || b.Break, i.broken || b.Break
			low, high := b.Sum.Extremes(series.VoltageChannel)
			v.add(b.Tick/s.step, low, high, float64(b.Sum.V), n)
			low, high = b.Sum.Extremes(series.CurrentChannel)
			i.add(b.Tick/s.step, low, high, float64(b.Sum.I), n)
		}
	case series.Slow:
		for k, channel := range b.Channel {
			if int(channel) == s.wire && len(s.lines) > 2 {
				s.lines[2].add(b.At(k)/s.step, b.Value[k], b.Value[k], b.Value[k], 1)
			}
		}
	}
}

// add puts codes into their stretch; one that comes late goes into the newest.
func (l *stripLine) add(index int64, low, high, sum, count float64) {
	c := &l.open
	if c.count > 0 && index > c.index {
		l.close(*c)
		if l.broken && index > c.index+1 {
			l.close(stripCell{index: c.index + 1})
		}
		*c = stripCell{}
	}
	l.broken = false
	if c.count == 0 {
		*c = stripCell{index: index, low: low, high: high}
	}
	c.low, c.high = min(c.low, low), max(c.high, high)
	c.sum += sum
	c.count += count
}

func (l *stripLine) close(c stripCell) {
	if len(l.closed) == 2*stripCells { // moved once in many cells
		kept := copy(l.closed, l.closed[stripCells:])
		l.closed, l.told = l.closed[:kept], max(0, l.told-stripCells)
	}
	l.closed = append(l.closed, c)
}

// All is the last half minute of stretches.
func (s *Roll) All(record string) Strip {
	return s.from(record, func(l *stripLine) []stripCell { return l.closed[max(0, l.told-stripCells):l.told] })
}

// rawOver is how much of the newest samples their mean is taken over; the span of the
// looks at a waveform.
const rawOver = 500 * time.Millisecond

// Raw is what the box reads of voltage and current, over the newest half second and
// corrected by nothing: whatever a threshold or a calibration makes of it, a person sees
// that something is there. It is nil before there are samples.
func (s *Roll) Raw() *Raw {
	if len(s.lines) < 2 {
		return nil
	}
	v, i := s.lines[series.VoltageChannel].newest(s.step), s.lines[series.CurrentChannel].newest(s.step)
	if v == nil || i == nil {
		return nil
	}
	return &Raw{Voltage: *v, Current: *i}
}

// newest is the mean of the newest stretches, as it was read.
func (l *stripLine) newest(step int64) *float64 {
	sum, count := l.open.sum, l.open.count
	if count == 0 {
		return nil
	}
	for k := len(l.closed) - 1; k >= 0 && (l.open.index-l.closed[k].index)*step < rawOver.Nanoseconds(); k-- {
		sum, count = sum+l.closed[k].sum, count+l.closed[k].count
	}
	return sheet.Known(l.asRead.Of(sum / count))
}

// News is what has come since News was last asked for; false where there is none.
func (s *Roll) News(record string) (Strip, bool) {
	any := false
	told := s.from(record, func(l *stripLine) []stripCell {
		cells := l.closed[l.told:]
		l.told = len(l.closed)
		any = any || len(cells) > 0
		return cells
	})
	return told, any
}

func (s *Roll) from(record string, cells func(*stripLine) []stripCell) Strip {
	out := Strip{Record: record, Epoch: s.epoch, Step: float64(s.step) / 1e9, Lines: []StripLine{}}
	for k := range s.lines {
		l := &s.lines[k]
		line := StripLine{Channel: l.channel, Unit: l.unit, At: []float64{}, Low: []*float64{}, High: []*float64{}, Mean: []*float64{}}
		for _, c := range cells(l) {
			line.At = append(line.At, float64(c.index*s.step)/1e9)
			low, high, mean := l.values(c)
			line.Low, line.High, line.Mean = append(line.Low, low), append(line.High, high), append(line.Mean, mean)
		}
		out.Lines = append(out.Lines, line)
	}
	return out
}

// values are those of a stretch in the unit of the line; nil where it is empty.
func (l *stripLine) values(c stripCell) (low, high, mean *float64) {
	if c.count == 0 {
		return nil, nil, nil
	}
	ends := []float64{l.Of(c.low), l.Of(c.high)}
	slices.Sort(ends)
	return sheet.Known(ends[0]), sheet.Known(ends[1]), sheet.Known(l.Of(c.sum / c.count))
}
