package shelf

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"hash/crc32"
	"io"
	"os"
	"time"
)

// A file of pieces is for what is too long to be held at once. It is begin, the key, and the
// pieces, each with its length before it and a checksum over the key, its number and itself
// behind it, so that no piece is read that is damaged, of another file, or in another place. A
// piece without content is the last.
const beginPieces = "arctally kept pieces 1\n"

// mostPiece is how many bytes a piece has at most.
const mostPiece = 64 << 20

// Draft is a file of pieces that is being written; nobody finds it before it is kept.
type Draft struct {
	shelf  *Shelf
	key    Key
	most   int64
	size   int64
	count  uint64
	first  []byte   // what waits for the file to be made
	file   *os.File // nil as long as there is little
	broken bool
}

// littleDraft is how many bytes wait before a file is made for them.
const littleDraft = 1 << 20

// Draft begins a file of pieces under a key, of so many bytes at most. It is kept or dropped
// in the end. A nil shelf has none.
func (s *Shelf) Draft(key Key, most int64) *Draft {
	if s == nil {
		return nil
	}
	d := &Draft{shelf: s, key: key, most: min(most, s.limit)}
	d.Restart()
	return d
}

// Restart begins it anew.
func (d *Draft) Restart() {
	d.Drop()
	d.size, d.count, d.broken, d.first = 0, 0, false, nil
	d.write(append([]byte(beginPieces), d.key[:]...))
}

// Piece adds a piece, which must not be empty. What cannot be written, or grows too large, is
// given up as a whole.
func (d *Draft) Piece(content []byte) {
	if len(content) > mostPiece {
		d.broken = true
	}
	d.write(binary.LittleEndian.AppendUint32(nil, uint32(len(content))))
	d.write(content)
	d.write(binary.LittleEndian.AppendUint32(nil, d.key.checksum(d.count, content)))
	d.count++
}

// Size is how many bytes there are so far, so where the next piece will stand.
func (d *Draft) Size() int64 { return d.size }

// GivenUp reports whether it will not be kept.
func (d *Draft) GivenUp() bool { return d.broken }

// checksum is that of a piece of a file.
func (k Key) checksum(number uint64, content []byte) uint32 {
	table := crc32.MakeTable(crc32.Castagnoli)
	return crc32.Update(crc32.Checksum(binary.LittleEndian.AppendUint64(k[:len(k):len(k)], number), table), table, content)
}

func (d *Draft) write(content []byte) {
	d.size += int64(len(content))
	if d.size > d.most {
		d.Drop()
	}
	switch {
	case d.broken:
	case d.file == nil && len(d.first)+len(content) <= littleDraft:
		d.first = append(d.first, content...)
	case d.file == nil && !d.open():
		d.broken = true
	default:
		_, err := d.file.Write(content)
		d.broken = err != nil
	}
}

// open makes the file, and writes what waited for it.
func (d *Draft) open() bool {
	file, err := d.shelf.newFile()
	if err != nil {
		return false
	}
	d.file = file
	_, err = file.Write(d.first)
	d.first = nil
	return err == nil
}

// Drop gives it up.
func (d *Draft) Drop() {
	d.broken, d.first = true, nil
	if d.file != nil {
		giveUp(d.file)
		d.file = nil
	}
}

// Keep puts it on the shelf, whole, unless it was given up.
func (d *Draft) Keep() (kept bool) {
	d.Piece(nil)
	if d.file == nil && !d.broken {
		d.broken = !d.open()
	}
	if d.broken {
		d.Drop()
		return false
	}
	kept = d.shelf.settle(d.file, d.size, d.key)
	d.file = nil
	return kept
}

// Pieces reads a file of pieces from its beginning.
type Pieces struct {
	key    Key
	file   *os.File
	number uint64
	last   []byte
}

// Pieces opens the file of pieces under a key; nil where there is none. The caller closes it.
func (s *Shelf) Pieces(key Key) *Pieces {
	if s == nil {
		return nil
	}
	name := s.file(key)
	file, err := os.Open(name)
	if err != nil {
		return nil
	}
	head := make([]byte, len(beginPieces)+sha256.Size)
	if _, err := io.ReadFull(file, head); err != nil || !bytes.Equal(head, append([]byte(beginPieces), key[:]...)) {
		_ = file.Close()
		return nil
	}
	now := time.Now()
	_ = os.Chtimes(name, now, now) // one that cannot be marked as used goes sooner, no more
	return &Pieces{key: key, file: file}
}

// At returns the piece of a number, counted from 0, that stands at a place: the size of the draft
// when it was added. Next goes on behind it.
func (p *Pieces) At(number int, place int64) (content []byte, sound bool) {
	if _, err := p.file.Seek(place, io.SeekStart); err != nil {
		return nil, false
	}
	p.number = uint64(number)
	return p.Next()
}

// Next returns the next piece, which lasts until the one after it is asked for. It is empty
// after the last one, and false where the file is damaged.
func (p *Pieces) Next() (content []byte, sound bool) {
	var number [4]byte
	if _, err := io.ReadFull(p.file, number[:]); err != nil {
		return nil, false
	}
	n := int(binary.LittleEndian.Uint32(number[:]))
	if n > mostPiece {
		return nil, false
	}
	if cap(p.last) < n {
		p.last = make([]byte, n)
	}
	content = p.last[:n]
	if _, err := io.ReadFull(p.file, content); err != nil {
		return nil, false
	}
	if _, err := io.ReadFull(p.file, number[:]); err != nil {
		return nil, false
	}
	sound = p.key.checksum(p.number, content) == binary.LittleEndian.Uint32(number[:])
	p.number++
	return content, sound
}

// Close closes the file.
func (p *Pieces) Close() { _ = p.file.Close() } // it was only read
