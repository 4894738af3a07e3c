package export

import (
	"io"
	"math"
	"strconv"
	"time"

	"arctally/acquire/calib"
)

// flushAt is where the text gathered goes to the writer: large enough to make
// the calls rare, small enough to stay in the cache.
const flushAt = 32 << 10

// text gathers rows and hands them on in large pieces.
type text struct {
	w   io.Writer
	buf []byte
}

func newText(w io.Writer) *text { return &text{w: w, buf: make([]byte, 0, flushAt+4096)} }

// rowDone hands the rows on when enough have gathered.
func (t *text) rowDone() error {
	if len(t.buf) < flushAt {
		return nil
	}
	return t.flush()
}

func (t *text) flush() error {
	if len(t.buf) == 0 {
		return nil
	}
	_, err := t.w.Write(t.buf)
	t.buf = t.buf[:0]
	return err
}

// appendFloat writes the shortest decimals of a number, and nothing for one
// that is not known.
func appendFloat(dst []byte, v float64) []byte {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return dst
	}
	return strconv.AppendFloat(dst, v, 'g', -1, 64)
}

// appendSeconds writes nanoseconds as seconds with nine decimals.
func appendSeconds(dst []byte, ns int64) []byte {
	u := uint64(ns)
	if ns < 0 {
		dst = append(dst, '-')
		u = -u
	}
	dst = strconv.AppendUint(dst, u/1e9, 10)
	return appendNano(append(dst, '.'), u%1e9)
}

func appendNano(dst []byte, ns uint64) []byte {
	var digit [9]byte
	for k := len(digit) - 1; k >= 0; k-- {
		digit[k] = byte('0' + ns%10)
		ns /= 10
	}
	return append(dst, digit[:]...)
}

// stamp writes time stamps; it keeps the text of the second it wrote last,
// because thousands of samples share it.
type stamp struct {
	second int64
	text   []byte
}

func (s *stamp) append(dst []byte, t time.Time) []byte {
	if second := t.Unix(); s.text == nil || second != s.second {
		s.second = second
		s.text = t.UTC().AppendFormat(s.text[:0], "2006-01-02T15:04:05.")
	}
	return append(appendNano(append(dst, s.text...), uint64(t.Nanosecond())), 'Z')
}

// cacheSize covers the codes that an arc keeps coming back to.
const cacheSize = 1 << 12

// codeText writes the value of a code. Shortest decimals cost more than all
// the rest of a row, and an arc repeats its codes: so their text is kept.
type codeText struct {
	line calib.Line
	slot []codeSlot
}

type codeSlot struct {
	code int32
	len  uint8
	text [27]byte
}

// use forgets the text of another line.
func (c *codeText) use(l calib.Line) {
	if c.slot != nil && c.line == l {
		return
	}
	c.line = l
	c.slot = make([]codeSlot, cacheSize)
}

func (c *codeText) append(dst []byte, code int32) []byte {
	slot := &c.slot[uint32(code)%cacheSize]
	if slot.len == 0 || slot.code != code {
		slot.code = code
		slot.len = uint8(len(appendFloat(slot.text[:0], c.line.Of(float64(code)))))
	}
	return append(dst, slot.text[:slot.len]...)
}
