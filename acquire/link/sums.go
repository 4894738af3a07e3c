package link

import (
	"encoding/binary"

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
	d.put(series.Block{Kind: series.Sums, Tick: h.tick, Step: h.step, Sum: s})
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
		return nil
	}
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
