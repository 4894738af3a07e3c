package export

import (
	"io"
	"math"
	"strconv"
	"time"

	"arctally/acquire/quantity"
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

// appendFloat writes the shortest decimals of a number, without those that only the
// arithmetic put there, and nothing for one that is not known.
func appendFloat(dst []byte, v float64) []byte {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return dst
	}
	return strconv.AppendFloat(dst, quantity.Clean(v), 'g', -1, 64)
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
