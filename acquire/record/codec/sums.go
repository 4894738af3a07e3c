package codec

import (
	"encoding/binary"

	"arctally/acquire/series"
)

// sumsSize is the length of one row of window sums.
const sumsSize = 48

// Sums packs window sums, each a row of little-endian numbers.
func (p *Packer) Sums(dst []byte, windows []series.WindowSums) (ID, []byte) {
	raw := p.room(sumsSize * len(windows))[:0]
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
	return Sums, p.close(dst)
}

// Sums appends the n window sums of a payload to dst.
func (u *Unpacker) Sums(dst []series.WindowSums, how ID, payload []byte, n int) ([]series.WindowSums, error) {
	raw, err := u.exactly(how, Sums, payload, n, sumsSize*n)
	if err != nil {
		return dst, err
	}
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
