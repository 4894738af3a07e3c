package link

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"time"

	"arctally/acquire/series"
)

// Columns is the link of a plain meter: lines of numbers, of which a Layout says what
// they are. It has no boot, no sequence number, no tick and no checksum: its readings
// stand at the times at which their lines arrived, a loss is not seen, and nothing
// shows that a digit was changed on the way.
const Columns = "columns"

// ColumnsMaxStep is the longest time between two lines of a plain meter that still
// follow one another. Ours, no source: a meter that is read says something every
// second, and a busy host may look away for one.
const ColumnsMaxStep = 2 * time.Second

// Arriving is a decoder of a link without ticks.
type Arriving interface {
	Decoder
	// Arrive says when the bytes of the next Decode arrived.
	Arrive(at time.Time)
	// Interrupt says that bytes may be missing before the next ones: the line was away.
	Interrupt()
}

// columnsDecoder reads lines by their columns.
type columnsDecoder struct {
	layout  series.Layout
	voltage *place // nil where the meter has none
	current *place
	slow    []place
	runs    splitter
	shape   shape
	pace    pace

	own     []byte // the bytes under way, with one kind of line end
	reading Reading
	fields  [][]byte
	blocks  [2]series.Block
	v, i    [1]int32
	channel []uint8
	value   []float64
}

// place is a column as it is read.
type place struct {
	at       int // from 0
	channel  uint8
	decimals int // of the number written there that a code has
	factor   float64
}

// NewColumns returns a decoder for the lines of a plain meter. It panics on a layout
// that nobody could have parsed.
func NewColumns(l series.Layout) Arriving {
	d := &columnsDecoder{layout: l, runs: newSplitter('\n', maxLine-1)}
	for k, c := range ColumnsSource(l).Channels {
		column, ok := l.Column(c.Name)
		if !ok || column.Number < 1 || column.Factor == 0 {
			panic(fmt.Sprintf("link: no column for %s", c.Name))
		}
		p := place{at: column.Number - 1, channel: uint8(k), decimals: decimalsOf(c.Name, column.Factor), factor: column.Factor}
		switch {
		case c.Name == "voltage":
			d.voltage = &p
		case c.Name == "current":
			d.current = &p
		default:
			p.decimals = slowDecimals
			d.slow = append(d.slow, p)
		}
	}
	return d
}

// slowDecimals are the digits behind the point that are read of a slow channel.
const (
	slowDecimals = 5
	slowPerUnit  = 1e5
)

// ColumnsSource is the source of a plain meter. Its channels of voltage and current
// are the first two; where it has only one of them that is not among them, since one
// counts only with the other.
func ColumnsSource(l series.Layout) series.Source {
	s := series.Source{Link: Columns, Unprotected: true, MaxStep: ColumnsMaxStep.Nanoseconds()}
	_, voltage := l.Column("voltage")
	_, current := l.Column("current")
	for _, name := range series.ColumnChannels() {
		c, ok := l.Column(name)
		arc := name == "voltage" || name == "current"
		if !ok || arc && !(voltage && current) {
			continue
		}
		channel := series.Channel{Name: name, Unit: series.UnitOfColumn(name), Scale: 1, Basis: series.Average}
		if arc {
			channel.Scale = codeScale(c.Factor, decimalsOf(name, c.Factor))
		}
		s.Channels = append(s.Channels, channel)
	}
	return s
}

// decimalsOf is how many digits behind the point of the number that is written go into
// a code: as many as make a code one to ten times what it is on the other text links.
func decimalsOf(channel string, factor float64) int {
	decimals := voltageDecimals
	if channel == "current" {
		decimals = currentDecimals
	}
	return max(0, decimals+int(math.Floor(math.Log10(math.Abs(factor)))))
}

// codeScale is factor * 10^-decimals, rounded once.
func codeScale(factor float64, decimals int) float64 {
	scale, err := strconv.ParseFloat(strconv.FormatFloat(factor, 'f', -1, 64)+"e-"+strconv.Itoa(decimals), 64)
	if err != nil {
		panic("link: scale of an impossible factor: " + err.Error())
	}
	return scale
}

// Arrive implements Arriving.
func (d *columnsDecoder) Arrive(at time.Time) { d.pace.arrive(at) }

// Interrupt implements Arriving.
func (d *columnsDecoder) Interrupt() {
	d.runs.drop()
	d.shape = shape{}
}

// Decode implements Decoder. CR ends a line as LF does: what stands between the two is
// an empty line.
func (d *columnsDecoder) Decode(p []byte, yield func(*Reading, error)) {
	d.own = append(d.own[:0], p...)
	for p = d.own; ; p = p[1:] {
		k := bytes.IndexByte(p, '\r')
		if k < 0 {
			break
		}
		p[k] = '\n'
	}
	p = d.own
	d.pace.lines(d.runs.ends(p))
	for {
		run, at, damage, ok := d.runs.next(&p)
		if !ok {
			return
		}
		tick := d.pace.next()
		if damage == nil {
			damage = d.read(run, tick).in(run, at)
		}
		if damage != nil {
			yield(nil, damage)
			continue
		}
		yield(&d.reading, nil)
	}
}

// read sets the reading to what a line says.
func (d *columnsDecoder) read(line []byte, tick int64) *flaw {
	d.fields = d.split(line)
	if f := d.shape.take(len(d.fields)); f != nil {
		return f
	}
	d.reading = Reading{Tick: tick}
	blocks := d.blocks[:0]
	if d.voltage != nil && d.current != nil {
		v, f := d.code(d.voltage)
		if f != nil {
			return f
		}
		i, f := d.code(d.current)
		if f != nil {
			return f
		}
		if v.known && i.known {
			d.v[0], d.i[0] = v.n, i.n
			blocks = append(blocks, series.Block{Kind: series.Arc, Tick: tick, V: d.v[:], I: d.i[:]})
		}
	}
	d.channel, d.value = d.channel[:0], d.value[:0]
	for k := range d.slow {
		x, f := d.code(&d.slow[k])
		if f != nil {
			return f
		}
		if x.known {
			d.channel, d.value = append(d.channel, d.slow[k].channel), append(d.value, float64(x.n)/slowPerUnit*d.slow[k].factor)
		}
	}
	if len(d.value) > 0 {
		blocks = append(blocks, series.Block{Kind: series.Slow, Tick: tick, Channel: d.channel, Value: d.value})
	}
	d.reading.Blocks = blocks
	return nil
}

// code reads the number in a place.
func (d *columnsDecoder) code(p *place) (decimal, *flaw) {
	if p.at >= len(d.fields) {
		return decimal{}, flawf(BadLength, "column %d is needed, the line has %d", p.at+1, len(d.fields))
	}
	text := bytes.TrimSpace(d.fields[p.at])
	x, ok := parseMeter(text, d.layout.Point, p.decimals)
	if !ok {
		return decimal{}, flawf(BadValue, "column %d %q", p.at+1, text)
	}
	return x, nil
}

// split cuts a line into its columns.
func (d *columnsDecoder) split(line []byte) [][]byte {
	fields := d.fields[:0]
	if d.layout.Separator == ' ' {
		for len(line) > 0 {
			n := bytes.IndexAny(line, " \t")
			if n < 0 {
				n = len(line)
			}
			if n > 0 {
				fields = append(fields, line[:n])
			}
			line = line[min(n+1, len(line)):]
		}
		return fields
	}
	for {
		n := bytes.IndexByte(line, d.layout.Separator)
		if n < 0 {
			return append(fields, line)
		}
		fields = append(fields, line[:n])
		line = line[n+1:]
	}
}

// AppendColumns appends a line of a plain meter: voltage in V, current in A and wire
// speed in m/min. It panics where a value is too large for the other text links.
func AppendColumns(dst []byte, l Line) []byte {
	l.check()
	dst = appendMean(dst, l.Voltage, voltageDecimals)
	dst = appendMean(append(dst, ','), l.Current, currentDecimals)
	dst = appendMean(append(dst, ','), l.WireSpeed.times(secondsPerMinute), wireSpeedDecimals)
	return append(dst, '\n')
}
