package codec

import (
	"encoding/binary"

	"arctally/acquire/series"
)

// sumsSize is the length of one row of window sums.
const sumsSize = 48

// Sums packs window sums, each a row of little-endian numbers.
func (p *Packer) Sums(which uint8, windows []series.WindowSums) {
	raw := p.room(which, Sums, sumsSize*len(windows))[:0]
	le := binary.LittleEndian
	for i := range windows {
		w := &windows[i]
		raw = le.AppendUint32(raw, w.Count)
		raw = le.AppendUint64(raw, uint64(w.V))
		raw = le.AppendUint64(raw, uint64(w.I))
		raw = le.AppendUint64(raw, uint64(w.VI))
		raw = le.AppendUint16(raw, uint16(w.VMin))
		raw = le.AppendUint16(raw, uint16(w.VMax))
		raw = le.AppendUint16(raw, uint16(w.IMin))
		raw = le.AppendUint16(raw, uint16(w.IMax))
		raw = le.AppendUint32(raw, w.ArcOn)
		raw = le.AppendUint32(raw, w.WireCount)
		raw = le.AppendUint32(raw, w.Dropped)
	}
}

// Sums appends the window sums of a column to dst.
func (c Column) Sums(dst []series.WindowSums) ([]series.WindowSums, error) {
	if err := c.exactly(Sums, sumsSize*c.n); err != nil {
		return dst, err
	}
	raw := c.raw
	le := binary.LittleEndian
	for ; len(raw) > 0; raw = raw[sumsSize:] {
		dst = append(dst, series.WindowSums{
			Count: le.Uint32(raw),
			V:     int64(le.Uint64(raw[4:])),
			I:     int64(le.Uint64(raw[12:])),
			VI:    int64(le.Uint64(raw[20:])),
			VMin:  int16(le.Uint16(raw[28:])), VMax: int16(le.Uint16(raw[30:])),
			IMin: int16(le.Uint16(raw[32:])), IMax: int16(le.Uint16(raw[34:])),
			ArcOn: le.Uint32(raw[36:]), WireCount: le.Uint32(raw[40:]), Dropped: le.Uint32(raw[44:]),
		})
	}
	return dst, nil
}
