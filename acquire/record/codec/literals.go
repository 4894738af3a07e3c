package codec

import (
	"encoding/binary"

	"github.com/klauspost/compress/huff0"
)

// literals writes zstd frames (RFC 8878) whose blocks hold Huffman codes and nothing
// else: no repetition is looked for, because noise has none that is worth its place. Such
// a block is opened in a third of the time, and any zstd reader opens it.
type literals struct {
	huffman huff0.Scratch
	content []byte
}

// What the head of a frame says: how long its content is, in four bytes, that this is all
// the room that it needs, and that a checksum ends it.
const (
	frameMagic  = 0xfd2fb528
	frameHead   = 2<<6 | 1<<5 | 1<<2
	mostInBlock = 1 << 17
)

// The types of a block.
const (
	blockAsIs = iota
	blockRepeats
	blockCompressed
)

// frame appends a frame of columns, each in blocks of its own, to dst.
func (l *literals) frame(dst []byte, columns [][]byte) []byte {
	l.content = l.content[:0]
	for _, c := range columns {
		l.content = append(l.content, c...)
	}
	dst = append(binary.LittleEndian.AppendUint32(dst, frameMagic), frameHead)
	dst = binary.LittleEndian.AppendUint32(dst, uint32(len(l.content)))
	for k, c := range columns {
		for len(c) > 0 {
			n := min(len(c), mostInBlock)
			dst = l.block(dst, c[:n], k == len(columns)-1 && n == len(c))
			c = c[n:]
		}
	}
	return binary.LittleEndian.AppendUint32(dst, uint32(checksum(l.content)))
}

// block appends a block, as whichever type is smallest.
func (l *literals) block(dst, content []byte, last bool) []byte {
	head := func(kind, size int) []byte {
		h := uint32(size)<<3 | uint32(kind)<<1
		if last {
			h |= 1
		}
		return append(dst, byte(h), byte(h>>8), byte(h>>16))
	}
	if repeats(content) {
		return append(head(blockRepeats, len(content)), content[0])
	}
	sizes, coded := l.coded(content)
	if size := len(sizes) + len(coded) + 1; coded != nil && size < len(content) {
		dst = append(append(head(blockCompressed, size), sizes...), coded...)
		return append(dst, 0) // and no sequences
	}
	return append(head(blockAsIs, len(content)), content...)
}

// fewestInStreams is from how many bytes on they are coded in four streams, which are
// opened side by side.
const fewestInStreams = 1024

// coded returns literals and the head of their section; nil where they cannot be coded.
func (l *literals) coded(content []byte) (head, coded []byte) {
	const huffman, fourStreams = 2, 3 << 2
	l.huffman.Reuse = huff0.ReusePolicyNone
	if n := len(content); n >= fewestInStreams {
		out, _, err := huff0.Compress4X(content, &l.huffman)
		if err != nil {
			return nil, nil
		}
		h := uint64(huffman|fourStreams) | uint64(n)<<4 | uint64(len(out))<<22
		return []byte{byte(h), byte(h >> 8), byte(h >> 16), byte(h >> 24), byte(h >> 32)}, out
	} else if n < fewestCoded {
		return nil, nil
	}
	out, _, err := huff0.Compress1X(content, &l.huffman)
	if err != nil || len(out) >= 1024 {
		return nil, nil
	}
	h := uint32(huffman) | uint32(len(content))<<4 | uint32(len(out))<<14
	return []byte{byte(h), byte(h >> 8), byte(h >> 16)}, out
}

// repeats tells whether all bytes are the same.
func repeats(b []byte) bool {
	for _, c := range b {
		if c != b[0] {
			return false
		}
	}
	return true
}
