package codec

import (
	"encoding/binary"
	"slices"
)

// zigzag maps a difference to an unsigned number that is small where the
// difference is small, of either sign, so that the upper bytes stay zero. Two's
// complement would put the sign of every sample into them.
func zigzag(d int32) uint32 { return uint32(d<<1) ^ uint32(d>>31) }

func unzigzag(z uint32) int32 { return int32(z>>1) ^ -int32(z&1) }

func zigzag64(d int64) uint64 { return uint64(d<<1) ^ uint64(d>>63) }

func unzigzag64(z uint64) int64 { return int64(z>>1) ^ -int64(z&1) }

// codesHead is the length of what stands before the numbers of a column of codes.
const codesHead = 11

// How the upper bytes of a column of codes are written.
const (
	few    = iota // only of those numbers that a lowest byte does not hold, whole
	planes        // of all of them
)

// beyond is the lowest byte of a number that stands whole elsewhere.
const beyond = 255

// shape is how a column of codes is written down.
type shape struct {
	order uint8 // of the differences: 0 to the base, 1 to the code before, 2 to the step before
	size  uint8 // bytes of a number, in which differences wrap around: 2 or 4
	form  uint8
	base  int32 // stands before the first code
}

// difference tells how the next code differs; before and step are of those before it.
func (s *shape) difference(code int32, before, step *int32) uint32 {
	x := code - *before
	switch s.order {
	case 1:
		*before = code
	case 2:
		*before, *step, x = code, x, x-*step
	}
	if s.size == 2 {
		return zigzag(int32(int16(x)))
	}
	return zigzag(x)
}

// codesPacker packs columns of codes, each as its numbers come to least.
type codesPacker struct {
	parts   []entry
	content []byte
	cuts    []int // ends of pieces that are like one another
	survey  survey
}

func (p *codesPacker) reset() {
	p.parts, p.content, p.cuts = p.parts[:0], p.content[:0], p.cuts[:0]
}

// columns are the pieces.
func (p *codesPacker) columns() (pieces [][]byte) {
	from := 0
	for _, cut := range p.cuts {
		if cut > from {
			pieces = append(pieces, p.content[from:cut])
		}
		from = cut
	}
	return pieces
}

// piece makes room for a piece.
func (p *codesPacker) piece(n int) []byte {
	from := len(p.content)
	p.content = slices.Grow(p.content, n)[:from+n]
	p.cuts = append(p.cuts, from+n)
	return p.content[from:]
}

// Codes packs int32 codes as zigzag differences. Most of them fit a byte, and those that do
// not stand behind all of these; or all of them have more bytes, in planes, where that is less.
func (p *Packer) Codes(which uint8, c []int32) {
	q := &p.codes
	from := len(q.content)
	s, m := q.survey.choose(c)
	head := q.piece(codesHead)
	head[0], head[1], head[2] = s.order, s.size, s.form
	binary.LittleEndian.PutUint32(head[3:], uint32(s.base))
	binary.LittleEndian.PutUint32(head[7:], uint32(m))
	if s.form == few {
		q.few(c, s, m)
	} else {
		q.planes(c, s)
	}
	q.parts = append(q.parts, entry{which, Codes, len(q.content) - from})
}

// few writes lowest bytes, and then the m numbers that they do not hold, in planes.
func (p *codesPacker) few(c []int32, s shape, m int) {
	begin := len(p.content)
	p.piece(len(c))
	for range int(s.size) {
		p.piece(m)
	}
	low, rest := p.content[begin:begin+len(c)], p.content[begin+len(c):]
	before, step, at := s.base, int32(0), 0
	for k, code := range c {
		z := s.difference(code, &before, &step)
		if z < beyond {
			low[k] = byte(z)
			continue
		}
		low[k] = beyond
		for plane := range int(s.size) {
			rest[plane*m+at] = byte(z >> (8 * plane))
		}
		at++
	}
}

// planes writes all numbers in planes.
func (p *codesPacker) planes(c []int32, s shape) {
	begin := len(p.content)
	for range int(s.size) {
		p.piece(len(c))
	}
	all := p.content[begin:]
	before, step := s.base, int32(0)
	for k, code := range c {
		z := s.difference(code, &before, &step)
		for plane := range int(s.size) {
			all[plane*len(c)+k] = byte(z >> (8 * plane))
		}
	}
}
