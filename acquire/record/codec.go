package record

import (
	"errors"
	"fmt"

	"github.com/klauspost/compress/zstd"
)

// codec says how a payload is packed. Every payload is one zstd frame (RFC 8878);
// the codec says what the frame holds once it is opened.
type codec uint8

// The codecs; their numbers stand in records and never change.
const (
	codecDelta16  codec = iota + 1 // int32 codes whose deltas fit 16 bits, in two planes
	codecDelta32                   // int32 codes, deltas in four planes
	codecSecond64                  // int64, second differences in eight planes
	codecFloat64                   // float64, bits XOR the bits before, in eight planes
	codecBits                      // booleans, eight to a byte
	codecBytes                     // bytes as they are
	codecSums                      // rows of window sums, 48 bytes each
)

// maxChunk bounds the samples of a chunk, so that a damaged length cannot make
// a reader take all the memory there is.
const maxChunk = 1 << 20

// errPayload is the cause of every payload that cannot be what was written.
var errPayload = errors.New("payload does not fit its codec")

// packer turns columns into payloads. Its buffers are reused.
type packer struct {
	zstd *zstd.Encoder
	raw  []byte
}

func newPacker() *packer {
	z, err := zstd.NewWriter(nil,
		zstd.WithEncoderLevel(zstd.SpeedDefault), // slower ones save under 1 % of a dipping arc
		zstd.WithEncoderConcurrency(1),
		zstd.WithSingleSegment(true),
		zstd.WithEncoderCRC(true)) // a flipped bit must not become a wrong sample
	if err != nil {
		panic("record: " + err.Error()) // the options are constants
	}
	return &packer{zstd: z}
}

// room returns n bytes to fill.
func (p *packer) room(n int) []byte {
	if cap(p.raw) < n {
		p.raw = make([]byte, n+n/4)
	}
	p.raw = p.raw[:n]
	return p.raw
}

// close packs the bytes that room handed out, behind dst.
func (p *packer) close(dst []byte) []byte { return p.zstd.EncodeAll(p.raw, dst) }

// unpacker turns payloads back into columns. Its buffers are reused.
type unpacker struct {
	zstd *zstd.Decoder
	raw  []byte
}

func newUnpacker() *unpacker {
	z, err := zstd.NewReader(nil,
		zstd.WithDecoderConcurrency(1),
		zstd.WithDecodeAllCapLimit(true)) // a frame that claims more than its column holds is refused
	if err != nil {
		panic("record: " + err.Error()) // the options are constants
	}
	return &unpacker{zstd: z}
}

// open returns the content of a frame, which must have between least and most bytes.
func (u *unpacker) open(payload []byte, least, most int) ([]byte, error) {
	if cap(u.raw) < most || u.raw == nil {
		u.raw = make([]byte, 0, most+most/4+1)
	}
	raw, err := u.zstd.DecodeAll(payload, u.raw[:0:most])
	if err != nil {
		return nil, fmt.Errorf("%w: %w", errPayload, err)
	}
	if len(raw) < least || len(raw) > most {
		return nil, fmt.Errorf("%w: %d bytes where %d to %d belong", errPayload, len(raw), least, most)
	}
	return raw, nil
}

// checkLength refuses a number of samples that no writer made.
func checkLength(n int) error {
	if n < 1 || n > maxChunk {
		return fmt.Errorf("%w: %d samples in a chunk", errPayload, n)
	}
	return nil
}
