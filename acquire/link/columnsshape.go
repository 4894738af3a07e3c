package link

import (
	"bytes"
	"time"
)

// shape is how many columns the lines of a meter have. A line that is cut short is
// still a line of numbers, with each in the wrong place or with its last digits
// missing: only lines of as many columns as the ones before them count. The first one
// after a start never does, since nobody has seen where it began.
type shape struct {
	columns   int // 0 is not known yet
	candidate int // what the last line had, where that was another number
}

// take returns a flaw where a line of so many columns does not count.
func (s *shape) take(columns int) *flaw {
	if columns == s.columns || columns == s.candidate {
		s.columns, s.candidate = columns, 0
		return nil
	}
	s.candidate = columns
	if s.columns == 0 {
		return flawf(BadLength, "%d columns, and nobody has seen where it begins", columns)
	}
	return flawf(BadLength, "%d columns, after lines of %d", columns, s.columns)
}

// pace gives the lines of a meter their ticks, by the clock of the host. What one read
// brings came one after the other since the read before it: an adapter holds lines
// back for up to 16 ms, and a busy host for up to a second.
type pace struct {
	begun   bool // start is known
	heard   bool // a read has brought a line
	start   time.Time
	last    int64 // ns from start, of the last read
	now     int64 // ns from start, of this read
	newest  int64 // the tick given last
	each    int64 // ns from line to line in this read
	left    int64 // lines of this read that are still to come
	usual   int64 // ns, the mean time between lines that follow one another
	lasted  int64 // ns, over all of those
	counted int64
}

// arrive sets the time of a read.
func (p *pace) arrive(at time.Time) {
	if !p.begun {
		p.begun, p.start, p.newest = true, at, -1
	}
	p.last, p.now = p.now, max(p.now, at.Sub(p.start).Nanoseconds())
}

// lines says how many lines end in this read.
func (p *pace) lines(n int) {
	p.left = int64(n)
	if n == 0 {
		// What came of a line so far does not make its time another.
		p.now = p.last
		return
	}
	passed := p.now - p.last
	if !p.heard || passed > ColumnsMaxStep.Nanoseconds() {
		p.heard, p.each = true, p.usual
		return
	}
	p.each = passed / int64(n)
	p.lasted += passed
	p.counted += int64(n)
	p.usual = p.lasted / p.counted
}

// next returns the tick of the next line. No two lines share one, and none goes back.
func (p *pace) next() int64 {
	p.left = max(0, p.left-1)
	p.newest = max(p.now-p.left*p.each, p.newest+1)
	return p.newest
}

// parseMeter reads a number as meters write it: a sign, digits with one decimal mark,
// and an exponent of ten. An empty text is unknown.
func parseMeter(text []byte, point byte, decimals int) (decimal, bool) {
	text = bytes.TrimPrefix(text, []byte{'+'})
	mantissa, power := text, 0
	if at := bytes.IndexAny(text, "eE"); at >= 0 {
		var ok bool
		if power, ok = parsePower(text[at+1:]); !ok || at == 0 {
			return decimal{}, false
		}
		mantissa = text[:at]
	}
	if point != '.' {
		if bytes.IndexByte(mantissa, '.') >= 0 {
			return decimal{}, false
		}
		var own [maxLine]byte
		mantissa = append(own[:0], mantissa...)
		if at := bytes.IndexByte(mantissa, point); at >= 0 {
			mantissa[at] = '.'
		}
	}
	decimals += power
	x, ok := parseDecimal(mantissa, max(0, decimals))
	for ; decimals < 0; decimals++ {
		x.n /= 10
	}
	return x, ok
}

// parsePower reads an exponent of ten.
func parsePower(text []byte) (int, bool) {
	digits, negative := bytes.CutPrefix(text, []byte{'-'})
	digits = bytes.TrimPrefix(digits, []byte{'+'})
	const most = 30
	n, ok := parseUint(digits, most)
	if negative {
		return -int(n), ok
	}
	return int(n), ok
}
