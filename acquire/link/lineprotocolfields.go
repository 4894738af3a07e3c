package link

import (
	"bytes"
	"math"

	"github.com/influxdata/line-protocol/v2/lineprotocol"
)

// fieldSet marks which fields have come: each may once, and some must.
type fieldSet [fieldCount]bool

func (s *fieldSet) missing() *flaw {
	for _, k := range [...]int{fieldBoot, fieldSeq, fieldTick} {
		if !s[k] {
			return flawf(BadValue, "%s is missing", fieldNames[k])
		}
	}
	return nil
}

// fieldOf returns the field that a key stands for; other keys are left alone.
func fieldOf(key []byte) (int, bool) {
	switch string(key) {
	case "boot":
		return fieldBoot, true
	case "seq":
		return fieldSeq, true
	case "t":
		return fieldTick, true
	case "v":
		return fieldVoltage, true
	case "i":
		return fieldCurrent, true
	case "w":
		return fieldWireSpeed, true
	default:
		return 0, false
	}
}

func (l *parsedLine) setField(seen *fieldSet, key []byte, kind lineprotocol.ValueKind, text []byte) *flaw {
	field, known := fieldOf(key)
	if !known {
		return nil
	}
	if seen[field] {
		return flawf(BadValue, "%s stands twice", fieldNames[field])
	}
	seen[field] = true
	var n uint64
	ok := true
	switch field {
	case fieldBoot:
		n, ok = integer(kind, text, math.MaxUint16)
		l.boot = uint16(n)
	case fieldSeq:
		n, ok = integer(kind, text, math.MaxUint32)
		l.seq = uint32(n)
	case fieldTick:
		l.tickUS, ok = integer(kind, text, maxTickUS)
	case fieldVoltage:
		l.voltage, ok = number(kind, text, voltageDecimals)
	case fieldCurrent:
		l.current, ok = number(kind, text, currentDecimals)
	case fieldWireSpeed:
		l.wireSpeed, ok = number(kind, text, wireSpeedDecimals)
	}
	if !ok {
		return badField(field, text)
	}
	return nil
}

func integer(kind lineprotocol.ValueKind, text []byte, limit uint64) (uint64, bool) {
	if kind != lineprotocol.Int && kind != lineprotocol.Uint {
		return 0, false
	}
	return parseUint(text, limit)
}

// number reads a value by its digits; one in powers of ten, which line protocol
// allows, goes through a float.
func number(kind lineprotocol.ValueKind, text []byte, decimals int) (decimal, bool) {
	if kind != lineprotocol.Float && kind != lineprotocol.Int && kind != lineprotocol.Uint {
		return decimal{}, false
	}
	if c, ok := parseDecimal(text, decimals); ok || !bytes.ContainsAny(text, "eE") {
		return c, ok && c.known
	}
	value, err := lineprotocol.NewValueFromBytes(kind, text)
	if err != nil || value.Kind() != lineprotocol.Float {
		return decimal{}, false
	}
	n := math.Round(value.FloatV() * math.Pow10(decimals))
	if math.Abs(n) > math.MaxInt32 {
		return decimal{}, false
	}
	return decimal{int32(n), true}, true
}
