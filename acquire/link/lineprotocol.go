package link

import (
	"bytes"
	"hash/crc32"
	"io"
	"math"
	"strconv"

	"github.com/influxdata/line-protocol/v2/lineprotocol"
)

// The names of a line-protocol line:
// arc,src=box1 boot=7i,seq=123i,t=4567890i,v=24.31,i=212.4,w=8.12,ck=3735928559u
const (
	measurement  = "arc"
	checksumName = ",ck="
)

// lineProtocolParser parses lines of the line-protocol text link through the
// library, which sees only lines whose checksum is right.
type lineProtocolParser struct {
	line    oneLine
	library *lineprotocol.Decoder
}

func newLineProtocolDecoder() *lineDecoder { return newLineDecoder(&lineProtocolParser{}) }

func (p *lineProtocolParser) parse(line []byte) (parsedLine, *flaw) {
	body, f := openChecked(line)
	if f != nil {
		return parsedLine{}, f
	}
	if p.library == nil {
		p.library = lineprotocol.NewDecoder(&p.line)
	}
	p.line.set(body)
	l, f := p.fields()
	if f != nil {
		// It may have read past the line, in search of a closing quote, and
		// have come to the end: it is of no more use.
		p.library = nil
	}
	return l, f
}

// fields reads one line through the library.
func (p *lineProtocolParser) fields() (l parsedLine, f *flaw) {
	if !p.library.Next() {
		return l, &flaw{kind: NotALine}
	}
	name, err := p.library.Measurement()
	if err != nil {
		return l, &flaw{NotALine, err.Error()}
	}
	if string(name) != measurement {
		return l, flawf(BadType, "%q", name)
	}
	var seen fieldSet
	for {
		key, kind, text, err := p.library.NextFieldBytes()
		if err != nil {
			return l, &flaw{NotALine, err.Error()}
		}
		if key == nil {
			break
		}
		if f := l.setField(&seen, key, kind, text); f != nil {
			return l, f
		}
	}
	if time, err := p.library.TimeBytes(); err != nil || time != nil || !p.line.used() {
		return l, &flaw{NotALine, "text behind the last field"}
	}
	return l, seen.missing()
}

// openChecked returns the line before its checksum, which has been found right.
// Nothing may follow the checksum, as nothing would protect it.
func openChecked(line []byte) ([]byte, *flaw) {
	end := bytes.LastIndex(line, []byte(checksumName))
	if end < 0 {
		return nil, &flaw{kind: NotALine}
	}
	text, unsigned := bytes.CutSuffix(line[end+len(checksumName):], []byte{'u'})
	sum, ok := parseUint(text, math.MaxUint32)
	if !unsigned || !ok {
		return nil, &flaw{kind: NotALine}
	}
	if crc32.Checksum(line[:end], castagnoli) != uint32(sum) {
		return nil, &flaw{kind: BadChecksum}
	}
	return line[:end], nil
}

// oneLine hands the library one line at a time, so that a decoder of the
// library, and its buffers, last for the whole stream.
type oneLine struct {
	text [maxLine]byte
	rest []byte
}

func (o *oneLine) set(line []byte) {
	o.rest = append(append(o.text[:0], line...), '\n')
}

func (o *oneLine) used() bool { return len(o.rest) == 0 }

// Read implements io.Reader.
func (o *oneLine) Read(p []byte) (int, error) {
	if o.used() {
		return 0, io.EOF
	}
	n := copy(p, o.rest)
	o.rest = o.rest[n:]
	return n, nil
}

// AppendLineProtocol appends a line of the line-protocol text link from the box
// named source. It panics where source needs escaping, or a value is too large.
func AppendLineProtocol(dst []byte, source string, l Line) []byte {
	l.check()
	checkSourceTag(source)
	start := len(dst)
	dst = append(dst, measurement+",src="...)
	dst = append(dst, source...)
	dst = strconv.AppendUint(append(dst, " boot="...), uint64(l.Boot), 10)
	dst = strconv.AppendUint(append(dst, "i,seq="...), uint64(l.Seq), 10)
	dst = strconv.AppendUint(append(dst, "i,t="...), l.TickUS, 10)
	dst = append(dst, 'i')
	dst = appendField(dst, ",v=", l.Voltage, voltageDecimals)
	dst = appendField(dst, ",i=", l.Current, currentDecimals)
	dst = appendField(dst, ",w=", l.WireSpeed.times(secondsPerMinute), wireSpeedDecimals)
	dst = appendSum(dst, crc32.Checksum(dst[start:], castagnoli))
	return append(dst, '\n')
}

func appendSum(dst []byte, sum uint32) []byte {
	dst = strconv.AppendUint(append(dst, checksumName...), uint64(sum), 10)
	return append(dst, 'u')
}

func appendField(dst []byte, name string, m Mean, decimals int) []byte {
	if !m.Known {
		return dst
	}
	return appendDecimal(append(dst, name...), m.Value, decimals)
}

// maxSourceTag leaves room in a line for every field at its longest.
const maxSourceTag = 64

// checkSourceTag panics on a name that could not stand as a tag as it is.
func checkSourceTag(source string) {
	for _, c := range []byte(source) {
		if c <= ' ' || c >= 0x7f || c == ',' || c == '=' || c == '\\' {
			panic("link: source name " + strconv.Quote(source) + " needs escaping")
		}
	}
	if source == "" || len(source) > maxSourceTag {
		panic("link: source name " + strconv.Quote(source) + " has the wrong length")
	}
}
