package codec

import (
	"encoding/binary"
	"fmt"
)

// entry is what a joined payload says of one of its columns.
type entry struct {
	which  uint8
	how    ID
	length int
}

// The bytes of an entry, and how many columns a chunk has at most.
const (
	entrySize  = 6
	mostJoined = 8
	// mostCodes of them are codes, which stand last.
	mostCodes = 2
)

// Joined appends the columns that came since it was last called, as one payload, to dst.
// What zstd packs is its first frame. Codes, of which there is so much more, are in one
// of literals behind it, or are alone there.
func (p *Packer) Joined(dst []byte) (ID, []byte) {
	all := append(p.parts, p.codes.parts...)
	directory := append(make([]byte, 0, 1+mostJoined*entrySize), byte(len(all)))
	for _, e := range all {
		directory = append(directory, e.which, byte(e.how))
		directory = binary.LittleEndian.AppendUint32(directory, uint32(e.length))
	}
	columns := p.codes.columns()
	switch {
	case len(p.parts) > 0:
		dst = p.zstd.EncodeAll(append(directory, p.raw...), dst)
	case len(columns) > 0:
		columns = append([][]byte{directory}, columns...)
	}
	if len(columns) > 0 {
		dst = p.literals.frame(dst, columns)
	}
	p.parts, p.raw = p.parts[:0], p.raw[:0]
	p.codes.reset()
	return Joined, dst
}

// Column is an opened column. It lasts until the Unpacker is used again.
type Column struct {
	Which uint8 // as the packer was told
	how   ID
	raw   []byte
	n     int // numbers in it
}

// Column opens a payload that holds one column of n numbers, or up to n.
func (u *Unpacker) Column(how ID, payload []byte, n int) (Column, error) {
	if err := checkLength(n); err != nil {
		return Column{}, err
	}
	most, ok := how.most(n)
	if !ok {
		return Column{}, fmt.Errorf("%w: codec %d does not hold a column", ErrPayload, how)
	}
	raw, err := u.open(payload, most)
	return Column{how: how, raw: raw, n: n}, err
}

// Joined opens a payload that holds all columns of a chunk of n samples.
func (u *Unpacker) Joined(payload []byte, n int) ([]Column, error) {
	if err := checkLength(n); err != nil {
		return nil, err
	}
	most, codes := 1+mostJoined*entrySize, 0
	for how := Delta16; how < Joined; how++ {
		size, _ := how.most(n)
		most += size
	}
	codes, _ = Codes.most(n)
	size, err := claimed(payload, most+mostCodes*codes)
	if err != nil {
		return nil, err
	}
	raw, err := u.open(payload, size+mostCodes*codes)
	if err != nil {
		return nil, err
	}
	return u.split(raw, n)
}

// split divides what was opened as its directory says.
func (u *Unpacker) split(raw []byte, n int) ([]Column, error) {
	u.parts = u.parts[:0]
	if len(raw) == 0 || len(raw) < 1+int(raw[0])*entrySize {
		return nil, fmt.Errorf("%w: %d bytes have no room for what they say is in them", ErrPayload, len(raw))
	}
	directory, rest := raw[1:1+int(raw[0])*entrySize], raw[1+int(raw[0])*entrySize:]
	for ; len(directory) > 0; directory = directory[entrySize:] {
		length := uint64(binary.LittleEndian.Uint32(directory[2:]))
		if length > uint64(len(rest)) {
			return nil, fmt.Errorf("%w: a column of %d bytes where there are %d", ErrPayload, length, len(rest))
		}
		u.parts = append(u.parts, Column{directory[0], ID(directory[1]), rest[:length:length], n})
		rest = rest[length:]
	}
	if len(rest) > 0 {
		return nil, fmt.Errorf("%w: %d bytes that belong to no column", ErrPayload, len(rest))
	}
	return u.parts, nil
}

// exactly refuses a column of another codec or size than is wanted.
func (c Column) exactly(want ID, size int) error {
	switch {
	case c.how != want:
		return fmt.Errorf("%w: codec %d where %d belongs", ErrPayload, c.how, want)
	case len(c.raw) != size:
		return fmt.Errorf("%w: %d bytes where %d belong", ErrPayload, len(c.raw), size)
	}
	return nil
}
