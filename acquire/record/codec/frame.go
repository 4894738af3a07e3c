package codec

import (
	"fmt"
	"slices"

	"github.com/klauspost/compress/zstd"
)

// Packer turns the columns of a chunk into a payload: it is given one after the other, and
// then packs them all.
type Packer struct {
	zstd     *zstd.Encoder
	literals literals
	parts    []entry
	raw      []byte // content of columns that zstd packs
	codes    codesPacker
}

// NewPacker makes a Packer.
func NewPacker() *Packer {
	z, err := zstd.NewWriter(nil,
		zstd.WithEncoderLevel(zstd.SpeedDefault),
		zstd.WithEncoderConcurrency(1),
		zstd.WithSingleSegment(true),
		zstd.WithEncoderCRC(true)) // a flipped bit must not become a wrong sample
	if err != nil {
		panic("codec: " + err.Error()) // the options are constants
	}
	return &Packer{zstd: z}
}

// room returns n bytes to fill with a column.
func (p *Packer) room(which uint8, how ID, n int) []byte {
	p.parts = append(p.parts, entry{which, how, n})
	from := len(p.raw)
	p.raw = slices.Grow(p.raw, n)[:from+n]
	return p.raw[from:]
}

// Content packs bytes whose number is known to nobody but the payload.
func (p *Packer) Content(dst, b []byte) (ID, []byte) { return Content, p.zstd.EncodeAll(b, dst) }

// Unpacker turns payloads back into columns.
type Unpacker struct {
	zstd  *zstd.Decoder
	raw   []byte
	parts []Column
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

// open returns the content of a payload, which must have up to most bytes.
func (u *Unpacker) open(payload []byte, most int) ([]byte, error) {
	u.raw = slices.Grow(u.raw[:0], most)
	raw, err := u.zstd.DecodeAll(payload, u.raw[:0:most])
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrPayload, err)
	}
	return raw, nil
}

// claimed is how long the first frame of a payload says that its content is, up to most.
func claimed(payload []byte, most int) (int, error) {
	var head zstd.Header
	if err := head.Decode(payload); err != nil {
		return 0, fmt.Errorf("%w: %w", ErrPayload, err)
	}
	if !head.HasFCS || head.FrameContentSize > uint64(most) {
		return 0, fmt.Errorf("%w: up to %d bytes belong in it", ErrPayload, most)
	}
	return int(head.FrameContentSize), nil
}

// Content appends the bytes of a payload to dst; there are no more than most.
func (u *Unpacker) Content(dst []byte, how ID, payload []byte, most int) ([]byte, error) {
	if how != Content {
		return dst, fmt.Errorf("%w: codec %d where %d belongs", ErrPayload, how, Content)
	}
	size, err := claimed(payload, most)
	if err != nil {
		return dst, err
	}
	raw, err := u.open(payload, size)
	if err != nil {
		return dst, err
	}
	return append(dst, raw...), nil
}
