package shelf

import (
	"encoding/binary"

	"github.com/klauspost/compress/zstd"

	"arctally/analyze/tape"
)

// pieceLength is how many bytes of a tape, before they are packed, make a piece: many enough
// to pack well, few enough that who reads or writes it needs hardly any memory.
const pieceLength = 1 << 20

// A piece of a tape is its columns one after the other: the marks, the values, and then the
// numbers. Each has its length before and after it was packed by zstd in front of it.
const (
	marks = iota
	values
	firstNumbers
	columns = firstNumbers + tape.Columns
)

// mostColumn is how many bytes a column of a piece has at most before it is packed: a value may
// be long, and goes into a piece whole.
const mostColumn = 64 << 20

// Tape writes a tape into a draft. It is a tape.Writer.
type Tape struct {
	to     *Draft
	zstd   *zstd.Encoder
	column [columns][]byte
	length int
	packed []byte
	one    []byte
}

// NewTape returns who writes a tape into a draft, which begins anew.
func NewTape(to *Draft) *Tape {
	to.Restart()
	z, err := zstd.NewWriter(nil, zstd.WithEncoderLevel(zstd.SpeedFastest), zstd.WithEncoderConcurrency(1), zstd.WithWindowSize(pieceLength), zstd.WithEncoderCRC(false))
	if err != nil {
		panic("shelf: " + err.Error()) // the options are constants
	}
	return &Tape{to: to, zstd: z}
}

// Mark implements tape.Writer.
func (t *Tape) Mark(m tape.Mark) {
	if t.length >= pieceLength {
		t.flush()
	}
	t.column[marks] = append(t.column[marks], byte(m))
	t.length++
}

// Number implements tape.Writer.
func (t *Tape) Number(c tape.Column, x int64) {
	had := t.column[firstNumbers+c]
	now := binary.AppendVarint(had, x)
	t.column[firstNumbers+c] = now
	t.length += len(now) - len(had)
}

// Value implements tape.Writer.
func (t *Tape) Value(of any) {
	t.one = appendPacked(t.one[:0], of)
	t.column[values] = append(binary.AppendUvarint(t.column[values], uint64(len(t.one))), t.one...)
	t.length += len(t.one)
}

// flush packs the columns into a piece.
func (t *Tape) flush() {
	piece := t.packed[:0]
	for k, column := range t.column {
		if t.to.GivenUp() {
			break
		}
		t.one = t.zstd.EncodeAll(column, t.one[:0])
		piece = binary.AppendUvarint(piece, uint64(len(column)))
		piece = binary.AppendUvarint(piece, uint64(len(t.one)))
		piece = append(piece, t.one...)
		t.column[k] = column[:0]
	}
	for k := range t.column {
		t.column[k] = t.column[k][:0]
	}
	t.packed, t.length = piece, 0
	if len(piece) > 0 {
		t.to.Piece(piece)
	}
}

// Keep puts the tape on the shelf, unless it was given up.
func (t *Tape) Keep() (kept bool) {
	if t.length > 0 {
		t.flush()
	}
	return t.to.Keep()
}

// Player reads a tape. It is a tape.Reader.
type Player struct {
	from   *Pieces
	zstd   *zstd.Decoder
	going  func() bool // says whether to go on
	column [columns][]byte
	memory [columns][]byte
}

// NewPlayer returns who reads a tape piece by piece, as long as going says so.
func NewPlayer(from *Pieces, going func() bool) *Player {
	z, err := zstd.NewReader(nil, zstd.WithDecoderConcurrency(1), zstd.WithDecoderMaxMemory(mostColumn))
	if err != nil {
		panic("shelf: " + err.Error()) // the options are constants
	}
	return &Player{from: from, zstd: z, going: going}
}

// Mark implements tape.Reader.
func (p *Player) Mark() tape.Mark {
	if len(p.column[marks]) == 0 && !p.turn() {
		return tape.End
	}
	m := p.column[marks][0]
	p.column[marks] = p.column[marks][1:]
	return tape.Mark(m)
}

// turn goes on to the next piece; false after the last.
func (p *Player) turn() bool {
	if !p.going() {
		tape.Misfit("nobody wants it any more")
	}
	for k := range p.column {
		if len(p.column[k]) > 0 {
			tape.Misfit("more is in a piece than is asked for")
		}
	}
	piece, sound := p.from.Next()
	if sound && len(piece) > 0 {
		sound = p.unpack(piece)
	}
	if !sound {
		tape.Misfit("a piece is damaged")
	}
	return len(p.column[marks]) > 0
}

// unpack unpacks the columns of a piece.
func (p *Player) unpack(piece []byte) (sound bool) {
	u := unpacking{rest: piece}
	for k := range p.column {
		length := u.number()
		packed := u.take(u.number())
		if u.short || length > mostColumn {
			return false
		}
		column, err := p.zstd.DecodeAll(packed, p.memory[k][:0])
		if err != nil || uint64(len(column)) != length {
			return false
		}
		p.memory[k], p.column[k] = column, column
	}
	return len(u.rest) == 0
}

// Number implements tape.Reader.
func (p *Player) Number(c tape.Column) int64 {
	column := p.column[firstNumbers+c]
	if len(column) > 0 && column[0] < 0x80 {
		p.column[firstNumbers+c] = column[1:]
		return int64(column[0]>>1) ^ -int64(column[0]&1)
	}
	x, n := binary.Varint(column)
	if n <= 0 {
		tape.Misfit("a number is asked for, and none is there")
	}
	p.column[firstNumbers+c] = column[n:]
	return x
}

// Value implements tape.Reader.
func (p *Player) Value(of any) {
	u := unpacking{rest: p.column[values]}
	packed := u.take(u.number())
	if u.short || Unpack(packed, of) != nil {
		tape.Misfit("a value is asked for, and another one is there")
	}
	p.column[values] = u.rest
}
