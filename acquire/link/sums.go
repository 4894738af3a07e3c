package link

import (
	"encoding/binary"
	"slices"

	"arctally/acquire/series"
)

// sums reads a window of sums. A window without a sample has no mean: it is not
// a block, only a loss.
func (d *binaryDecoder) sums(h head, body []byte) *flaw {
	if len(body) != sumsSize {
		return flawf(BadLength, "%d bytes of sums", len(body))
	}
	s := readSums(body)
	if s.Dropped > 0 {
		d.reading.Overrun = true
	}
	if s.Count == 0 {
		return nil
	}
	if f := checkSums(s); f != nil {
		return f
	}
	if h.step == 0 {
		return flawf(BadValue, "no time between %d samples", s.Count)
	}
	if f := d.measuresArc(); f != nil {
		return f
	}
	if f := d.windows.take(h, s.Count); f != nil {
		return f
	}
	d.put(series.Block{Kind: series.Sums, Tick: h.tick, Step: h.step, Sum: s})
	return nil
}

// longestWindow is how long a window of sums may be, in ns: beyond it a count is
// none, and would make errors of all windows that come within it. Ours; a box is
// heard every 5 s.
const longestWindow = 60_000_000_000

// windowOrder sees to it that no time is counted twice within a boot.
type windowOrder struct {
	known bool
	boot  uint16
	last  window
	// seen are the windows of this boot by seq modulo their number: one of them
	// may come again.
	seen [64]window
}

// window is where a window of sums stands.
type window struct {
	seq        uint32
	start, end int64 // ns
}

// take refuses a window that begins within the one before it. One that came again
// and a clock that went back behind that window are the recorder's to judge: it
// takes neither for time that goes on.
func (o *windowOrder) take(h head, count uint32) *flaw {
	w := window{h.seq, h.tick, h.tick + int64(count)*h.step}
	if w.end-w.start > longestWindow {
		return flawf(BadValue, "%d samples %d us apart: a window is no longer than %d s", count, h.step/nsPerUS, longestWindow/1_000_000_000)
	}
	place := &o.seen[w.seq%uint32(len(o.seen))]
	switch {
	case !o.known || h.boot != o.boot:
		*o = windowOrder{known: true, boot: h.boot}
	case place.seq == w.seq && place.start == w.start && place.end > 0: // again, as the recorder tells
		return nil
	case int32(w.seq-o.last.seq) > 0 && w.start >= o.last.start && w.start < o.last.end:
		return flawf(BadValue, "window from %d us: the one before it goes on to %d us", w.start/nsPerUS, o.last.end/nsPerUS)
	}
	o.last, *place = w, w
	return nil
}

// checkSums refuses a window whose own figures contradict one another.
func checkSums(s series.WindowSums) *flaw {
	n := int64(s.Count)
	switch {
	case s.VMin > s.VMax || s.V < n*int64(s.VMin) || s.V > n*int64(s.VMax):
		return flawf(BadValue, "sum of voltage %d over %d samples from %d to %d", s.V, n, s.VMin, s.VMax)
	case s.IMin > s.IMax || s.I < n*int64(s.IMin) || s.I > n*int64(s.IMax):
		return flawf(BadValue, "sum of current %d over %d samples from %d to %d", s.I, n, s.IMin, s.IMax)
	case s.ArcOn > s.Count:
		return flawf(BadValue, "%d of %d samples in arc", s.ArcOn, n)
	default:
		return checkProducts(s)
	}
}

// checkProducts refuses a sum of products that the extremes of its factors do not
// allow: the most and the least of a product lie where both factors are extreme.
func checkProducts(s series.WindowSums) *flaw {
	n := int64(s.Count)
	corners := []int64{
		int64(s.VMin) * int64(s.IMin), int64(s.VMin) * int64(s.IMax),
		int64(s.VMax) * int64(s.IMin), int64(s.VMax) * int64(s.IMax),
	}
	low, high := slices.Min(corners), slices.Max(corners)
	if s.VI < n*low || s.VI > n*high {
		return flawf(BadValue, "sum of products %d over %d samples from %d to %d", s.VI, n, low, high)
	}
	return nil
}

func readSums(b []byte) series.WindowSums {
	le := binary.LittleEndian
	return series.WindowSums{
		Count:     le.Uint32(b),
		V:         int64(le.Uint64(b[4:])),
		I:         int64(le.Uint64(b[12:])),
		VI:        int64(le.Uint64(b[20:])),
		VMin:      int16(le.Uint16(b[28:])),
		VMax:      int16(le.Uint16(b[30:])),
		IMin:      int16(le.Uint16(b[32:])),
		IMax:      int16(le.Uint16(b[34:])),
		ArcOn:     le.Uint32(b[36:]),
		WireCount: le.Uint32(b[40:]),
		Dropped:   le.Uint32(b[44:]),
	}
}

func appendSumsBody(dst []byte, s series.WindowSums) []byte {
	le := binary.LittleEndian
	dst = le.AppendUint32(dst, s.Count)
	dst = le.AppendUint64(dst, uint64(s.V))
	dst = le.AppendUint64(dst, uint64(s.I))
	dst = le.AppendUint64(dst, uint64(s.VI))
	dst = le.AppendUint16(dst, uint16(s.VMin))
	dst = le.AppendUint16(dst, uint16(s.VMax))
	dst = le.AppendUint16(dst, uint16(s.IMin))
	dst = le.AppendUint16(dst, uint16(s.IMax))
	dst = le.AppendUint32(dst, s.ArcOn)
	dst = le.AppendUint32(dst, s.WireCount)
	return le.AppendUint32(dst, s.Dropped)
}
