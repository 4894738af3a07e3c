package record

import (
	"encoding/binary"
	"fmt"
	"math"

	"arctally/acquire/series"
)

// floats packs float64 values: the bits of each, XOR those of the value before
// it (0 before the first), in eight byte planes, lowest first.
func (p *packer) floats(dst []byte, v []float64) (codec, []byte) {
	n := len(v)
	planes := p.room(8 * n)
	var before uint64
	for k, value := range v {
		bits := math.Float64bits(value)
		x := bits ^ before
		before = bits
		for plane := range 8 {
			planes[plane*n+k] = byte(x >> (8 * plane))
		}
	}
	return codecFloat64, p.close(dst)
}

// floats appends the n values of a payload to dst.
func (u *unpacker) floats(dst []float64, how codec, payload []byte, n int) ([]float64, error) {
	planes, err := u.exactly(how, codecFloat64, payload, n, 8*n)
	if err != nil {
		return dst, err
	}
	var bits uint64
	for k := range n {
		for plane := range 8 {
			bits ^= uint64(planes[plane*n+k]) << (8 * plane)
		}
		dst = append(dst, math.Float64frombits(bits))
	}
	return dst, nil
}

// bits packs booleans, eight to a byte, the first in the lowest bit.
func (p *packer) bits(dst []byte, flags []bool) (codec, []byte) {
	raw := p.room((len(flags) + 7) / 8)
	clear(raw)
	for k, set := range flags {
		if set {
			raw[k/8] |= 1 << (k % 8)
		}
	}
	return codecBits, p.close(dst)
}

// bits appends the n booleans of a payload to dst.
func (u *unpacker) bits(dst []bool, how codec, payload []byte, n int) ([]bool, error) {
	raw, err := u.exactly(how, codecBits, payload, n, (n+7)/8)
	if err != nil {
		return dst, err
	}
	for k := range n {
		dst = append(dst, raw[k/8]>>(k%8)&1 == 1)
	}
	return dst, nil
}

// bytes packs bytes as they are.
func (p *packer) bytes(dst []byte, b []uint8) (codec, []byte) {
	copy(p.room(len(b)), b)
	return codecBytes, p.close(dst)
}

// bytes appends the n bytes of a payload to dst.
func (u *unpacker) bytes(dst []uint8, how codec, payload []byte, n int) ([]uint8, error) {
	raw, err := u.exactly(how, codecBytes, payload, n, n)
	if err != nil {
		return dst, err
	}
	return append(dst, raw...), nil
}

// sumsSize is the length of one row of window sums.
const sumsSize = 48

// sums packs window sums, each a row of little-endian numbers.
func (p *packer) sums(dst []byte, windows []series.WindowSums) (codec, []byte) {
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
	return codecSums, p.close(dst)
}

// sums appends the n window sums of a payload to dst.
func (u *unpacker) sums(dst []series.WindowSums, how codec, payload []byte, n int) ([]series.WindowSums, error) {
	raw, err := u.exactly(how, codecSums, payload, n, sumsSize*n)
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

// exactly opens a payload of n samples that must use one codec and have one size.
func (u *unpacker) exactly(how, want codec, payload []byte, n, size int) ([]byte, error) {
	if err := checkLength(n); err != nil {
		return nil, err
	}
	if how != want {
		return nil, fmt.Errorf("%w: codec %d where %d belongs", errPayload, how, want)
	}
	return u.open(payload, size, size)
}
