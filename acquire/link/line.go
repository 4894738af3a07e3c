package link

import (
	"bytes"
	"fmt"
	"math"

	"arctally/acquire/series"
)

// maxLine is the longest line of a text link in bytes, its LF counted.
const maxLine = 256

const (
	secondsPerMinute = 60
	wireSpeedChannel = 2 // of the text links
	// wireSpeedPerMetre is how many codes of wire speed a speed of 1 m/s has.
	wireSpeedPerMetre = secondsPerMinute * 1e6
)

// Mean is a mean over the time since the last line; the zero value is unknown.
type Mean struct {
	Value float64
	Known bool
}

// Line is what one line of a text link says, in SI units.
type Line struct {
	Boot      uint16
	Seq       uint32
	TickUS    uint64
	Voltage   Mean // V
	Current   Mean // A
	WireSpeed Mean // m/s; the line carries m/min
}

// check panics where a line cannot carry a value.
func (l Line) check() {
	checkTick(l.TickUS)
	for _, m := range []struct {
		Mean
		perUnit float64
	}{
		{l.Voltage, 1 / textVoltsPerCode},
		{l.Current, 1 / textAmperesPerCode},
		{l.WireSpeed, wireSpeedPerMetre},
	} {
		if m.Known && !(math.Abs(m.Value)*m.perUnit < math.MaxInt32) {
			panic(fmt.Sprintf("link: value %v cannot be sent", m.Value))
		}
	}
}

// parsedLine is a line as received: digits, not yet values.
type parsedLine struct {
	boot                        uint16
	seq                         uint32
	tickUS                      uint64
	voltage, current, wireSpeed decimal
}

// lineDecoder is what the text links have in common: lines in, readings out.
type lineDecoder struct {
	runs    splitter
	parser  lineParser
	reading Reading
	blocks  [2]series.Block

	voltage, current [1]int32
	channel          [1]uint8
	value            [1]float64
}

// lineParser takes one line apart, without its line end.
type lineParser interface {
	parse(line []byte) (parsedLine, *flaw)
}

func newLineDecoder(p lineParser) *lineDecoder {
	return &lineDecoder{runs: newSplitter('\n', maxLine-1), parser: p}
}

// Decode implements Decoder.
func (d *lineDecoder) Decode(p []byte, yield func(*Reading, error)) {
	for {
		run, at, damage, ok := d.runs.next(&p)
		if !ok {
			return
		}
		if damage != nil {
			yield(nil, damage)
			continue
		}
		text := bytes.TrimSuffix(run, []byte{'\r'})
		if len(text) == 0 {
			continue // an empty line of a box that ends lines with CR LF
		}
		line, f := d.parser.parse(text)
		if damage = f.in(run, at); damage != nil {
			yield(nil, damage)
			continue
		}
		d.read(line)
		yield(&d.reading, nil)
	}
}

// read sets the reading to what line says. The step of its one sample is the
// time since the line before, over which it is the mean; 0 where that was lost.
func (d *lineDecoder) read(line parsedLine) {
	before := d.reading
	d.reading = Reading{Boot: line.boot, Seq: line.seq, HasSeq: true, Tick: int64(line.tickUS) * nsPerUS}
	var step int64
	if before.HasSeq && before.Boot == line.boot && before.Seq+1 == line.seq {
		step = max(0, d.reading.Tick-before.Tick)
	}
	blocks := d.blocks[:0]
	if line.voltage.known && line.current.known {
		d.voltage[0], d.current[0] = line.voltage.n, line.current.n
		blocks = append(blocks, series.Block{
			Kind: series.Arc, Tick: d.reading.Tick, Step: step, V: d.voltage[:], I: d.current[:],
		})
	}
	if line.wireSpeed.known {
		d.channel[0] = wireSpeedChannel
		d.value[0] = float64(line.wireSpeed.n) / wireSpeedPerMetre
		blocks = append(blocks, series.Block{
			Kind: series.Slow, Tick: d.reading.Tick, Step: step, Channel: d.channel[:], Value: d.value[:],
		})
	}
	d.reading.Blocks = blocks
}
