package codec

import (
	"fmt"
	"slices"

	"github.com/klauspost/compress/zstd"
)

// Packer turns columns into payloads.
type Packer struct {
	zstd *zstd.Encoder
	raw  []byte
}

// NewPacker makes a Packer.
func NewPacker() *Packer {
	z, err := zstd.NewWriter(nil,
		zstd.WithEncoderLevel(zstd.SpeedDefault), // slower ones save under 1 % of a dipping arc
		zstd.WithEncoderConcurrency(1),
		zstd.WithSingleSegment(true),
		zstd.WithEncoderCRC(true)) // a flipped bit must not become a wrong sample
	if err != nil {
		panic("codec: " + err.Error()) // the options are constants
	}
	return &Packer{zstd: z}
}

// room returns n bytes to fill.
func (p *Packer) room(n int) []byte {
	p.raw = slices.Grow(p.raw[:0], n)[:n]
	return p.raw
}

// close packs the bytes that room handed out, behind dst.
func (p *Packer) close(dst []byte) []byte { return p.zstd.EncodeAll(p.raw, dst) }

// Unpacker turns payloads back into columns.
type Unpacker struct {
	zstd *zstd.Decoder
	raw  []byte
}

// NewUnpacker makes an Unpacker.
func NewUnpacker() *Unpacker {
	z, err := zstd.NewReader(nil,
		zstd.WithDecoderConcurrency(1),
		zstd.WithDecodeAllCapLimit(true)) // a frame that claims more than its column holds is refused
	if err != nil {
		panic("codec: " + err.Error()) // the options are constants
	}
	return &Unpacker{zstd: z}
}

// open returns the content of a frame, which must have between least and most bytes.
func (u *Unpacker) open(payload []byte, least, most int) ([]byte, error) {
	u.raw = slices.Grow(u.raw[:0], most)
	raw, err := u.zstd.DecodeAll(payload, u.raw[:0:most])
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrPayload, err)
	}
	if len(raw) < least || len(raw) > most {
		return nil, fmt.Errorf("%w: %d bytes where %d to %d belong", ErrPayload, len(raw), least, most)
	}
	return raw, nil
}

// exactly opens a payload of n numbers that must use one codec and have one size.
func (u *Unpacker) exactly(how, want ID, payload []byte, n, size int) ([]byte, error) {
	if err := checkLength(n); err != nil {
		return nil, err
	}
	if how != want {
		return nil, fmt.Errorf("%w: codec %d where %d belongs", ErrPayload, how, want)
	}
	return u.open(payload, size, size)
}
