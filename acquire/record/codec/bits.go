package codec

import (
	"fmt"

	"github.com/klauspost/compress/zstd"
)

// Bits packs booleans, eight to a byte, the first in the lowest bit.
func (p *Packer) Bits(dst []byte, flags []bool) (ID, []byte) {
	raw := p.room((len(flags) + 7) / 8)
	clear(raw)
	for k, set := range flags {
		if set {
			raw[k/8] |= 1 << (k % 8)
		}
	}
	return Bits, p.close(dst)
}

// Bits appends the n booleans of a payload to dst.
func (u *Unpacker) Bits(dst []bool, how ID, payload []byte, n int) ([]bool, error) {
	raw, err := u.exactly(how, Bits, payload, n, (n+7)/8)
	if err != nil {
		return dst, err
	}
	for k := range n {
		dst = append(dst, raw[k/8]>>(k%8)&1 == 1)
	}
	return dst, nil
}

// Bytes packs bytes as they are.
func (p *Packer) Bytes(dst []byte, b []uint8) (ID, []byte) {
	copy(p.room(len(b)), b)
	return Bytes, p.close(dst)
}

// Bytes appends the n bytes of a payload to dst.
func (u *Unpacker) Bytes(dst []uint8, how ID, payload []byte, n int) ([]uint8, error) {
	raw, err := u.exactly(how, Bytes, payload, n, n)
	if err != nil {
		return dst, err
	}
	return append(dst, raw...), nil
}

// Content packs bytes whose number is known to nobody but the payload.
func (p *Packer) Content(dst, b []byte) (ID, []byte) {
	copy(p.room(len(b)), b)
	return Content, p.close(dst)
}

// Content appends the bytes of a payload to dst; there are no more than most.
func (u *Unpacker) Content(dst []byte, how ID, payload []byte, most int) ([]byte, error) {
	if how != Content {
		return dst, fmt.Errorf("%w: codec %d where %d belongs", ErrPayload, how, Content)
	}
	var head zstd.Header // what the frame says of its size is all the room that it gets
	if err := head.Decode(payload); err != nil {
		return dst, fmt.Errorf("%w: %w", ErrPayload, err)
	}
	if !head.HasFCS || head.FrameContentSize > uint64(most) {
		return dst, fmt.Errorf("%w: up to %d bytes belong in it", ErrPayload, most)
	}
	raw, err := u.open(payload, 0, int(head.FrameContentSize))
	if err != nil {
		return dst, err
	}
	return append(dst, raw...), nil
}
