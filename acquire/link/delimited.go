package link

import (
	"bytes"
	"encoding/binary"
	"encoding/hex"
	"hash/crc32"
	"math"
	"strconv"
)

// The marks of a delimited line: $W,boot,seq,tick_us,v,i,w*hhhhhhhh
const (
	lineMark     = '$'
	checksumMark = '*'
	lineType     = "W"
	hexDigits    = 2 * checksumSize
)

// delimitedParser parses lines of the delimited text link.
type delimitedParser struct{}

func newDelimitedDecoder() *lineDecoder { return newLineDecoder(delimitedParser{}) }

// The fields of a line behind its type.
const (
	fieldBoot = iota
	fieldSeq
	fieldTick
	fieldVoltage
	fieldCurrent
	fieldWireSpeed
	fieldCount
)

var fieldNames = [fieldCount]string{"boot", "seq", "tick", "voltage", "current", "wire speed"}

func (delimitedParser) parse(line []byte) (l parsedLine, f *flaw) {
	body, f := openLine(line)
	if f != nil {
		return l, f
	}
	kind, rest, _ := bytes.Cut(body, []byte{','})
	if string(kind) != lineType {
		return l, flawf(BadType, "%q", kind)
	}
	var fields [fieldCount][]byte
	for k := range fields {
		var more bool
		fields[k], rest, more = bytes.Cut(rest, []byte{','})
		if more != (k < fieldCount-1) {
			return l, flawf(BadLength, "%d fields are needed", fieldCount)
		}
	}
	f = l.setFields(&fields)
	return l, f
}

// setFields reads the fields; it returns a flaw that names the first bad one.
func (l *parsedLine) setFields(fields *[fieldCount][]byte) *flaw {
	var number [fieldVoltage]uint64
	for k, limit := range [...]uint64{fieldBoot: math.MaxUint16, fieldSeq: math.MaxUint32, fieldTick: maxTickUS} {
		var ok bool
		if number[k], ok = parseUint(fields[k], limit); !ok {
			return badField(k, fields[k])
		}
	}
	l.boot, l.seq, l.tickUS = uint16(number[fieldBoot]), uint32(number[fieldSeq]), number[fieldTick]

	var ok bool
	if l.voltage, ok = parseDecimal(fields[fieldVoltage], voltageDecimals); !ok {
		return badField(fieldVoltage, fields[fieldVoltage])
	}
	if l.current, ok = parseDecimal(fields[fieldCurrent], currentDecimals); !ok {
		return badField(fieldCurrent, fields[fieldCurrent])
	}
	if l.wireSpeed, ok = parseDecimal(fields[fieldWireSpeed], wireSpeedDecimals); !ok {
		return badField(fieldWireSpeed, fields[fieldWireSpeed])
	}
	return nil
}

func badField(field int, text []byte) *flaw {
	return flawf(BadValue, "%s %q", fieldNames[field], text)
}

// openLine returns what stands between the marks, its checksum found right.
func openLine(line []byte) ([]byte, *flaw) {
	end := len(line) - hexDigits - 1
	if line[0] != lineMark || end < 1 || line[end] != checksumMark {
		return nil, &flaw{kind: NotALine}
	}
	var sum [checksumSize]byte
	if _, err := hex.Decode(sum[:], line[end+1:]); err != nil {
		return nil, &flaw{kind: NotALine}
	}
	body := line[1:end]
	if crc32.Checksum(body, castagnoli) != binary.BigEndian.Uint32(sum[:]) {
		return nil, &flaw{kind: BadChecksum}
	}
	return body, nil
}

// AppendDelimited appends a line of the delimited text link. It panics where a
// value is too large for a line: 2147 V, 21 kA and 2147 m/min are.
func AppendDelimited(dst []byte, l Line) []byte {
	l.check()
	dst = append(dst, lineMark)
	start := len(dst)
	dst = append(dst, lineType...)
	for _, n := range [...]uint64{uint64(l.Boot), uint64(l.Seq), l.TickUS} {
		dst = append(dst, ',')
		dst = strconv.AppendUint(dst, n, 10)
	}
	dst = appendMean(append(dst, ','), l.Voltage, voltageDecimals)
	dst = appendMean(append(dst, ','), l.Current, currentDecimals)
	dst = appendMean(append(dst, ','), l.WireSpeed.times(secondsPerMinute), wireSpeedDecimals)
	sum := crc32.Checksum(dst[start:], castagnoli)
	var raw [checksumSize]byte
	binary.BigEndian.PutUint32(raw[:], sum)
	dst = hex.AppendEncode(append(dst, checksumMark), raw[:])
	return append(dst, '\n')
}

// times returns the mean in a unit that is smaller by factor.
func (m Mean) times(factor float64) Mean {
	m.Value *= factor
	return m
}

// appendMean appends a known mean, and nothing for an unknown one.
func appendMean(dst []byte, m Mean, decimals int) []byte {
	if !m.Known {
		return dst
	}
	return appendDecimal(dst, m.Value, decimals)
}
