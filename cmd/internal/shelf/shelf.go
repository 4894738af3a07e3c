// Package shelf keeps what was worked out at length, so that it need not be worked out
// again while nothing that it rests on has changed.
//
// Terms. A shelf is a folder of files, each of which holds one value, or one row of pieces
// that is too long to be held at once, such as a tape (package tape), under one key. A
// key is the digest of everything that the value rests on, the program too: where
// anything differs, another key is asked for, and nothing is found.
//
// A shelf may be deleted at any time, as a whole or in part, and several programs may
// use it at once: a file is put there whole or not at all, and one that is damaged, or
// that is not of its key, counts as none. What cannot be kept is not kept, and nobody is
// told: the value is worked out anew, and that is all. There are no errors.
package shelf

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"hash/crc32"
	"io"
	"os"
	"path/filepath"
	"time"
)

// Limit is how many bytes a shelf holds at most. Twelve hours of welding take some 30 MB for
// each way in which they were judged, and as much for the tape.
// Ours, no source.
const Limit = 512 << 20

// A file is begin, the key, and the packed value, and after them their checksum.
const begin = "arctally kept value 1\n"

// Key stands for all that a value rests on.
type Key [sha256.Size]byte

// Shelf is where values are kept; nil keeps nothing.
type Shelf struct {
	folder  string
	program string
	limit   int64
}

// New returns the shelf in a folder, which need not be there, for a program that is
// known by a text: another build of it is another program.
func New(folder, program string, limit int64) *Shelf {
	return &Shelf{folder: folder, program: program, limit: limit}
}

// OfUser returns the shelf of the person who runs this program; nil where there is no
// place for it.
func OfUser() *Shelf {
	cache, err := os.UserCacheDir()
	program, known := ThisProgram()
	if err != nil || !known {
		return nil
	}
	return New(filepath.Join(cache, "arctally", "results"), program, Limit)
}

type contextKey struct{}

// With hands a shelf to who works under a context.
func (s *Shelf) With(ctx context.Context) context.Context {
	return context.WithValue(ctx, contextKey{}, s)
}

// From is the shelf of a context; nil where it has none.
func From(ctx context.Context) *Shelf {
	s, _ := ctx.Value(contextKey{}).(*Shelf)
	return s
}

// Key is that of a value that rests on all of these and on the program.
func (s *Shelf) Key(on any) Key {
	if s == nil {
		return Key{}
	}
	return sha256.Sum256(Pack(&struct {
		program string
		on      []byte
	}{s.program, Pack(on)}))
}

// Fetch sets what a pointer points to to the value under a key, and reports whether it
// is there. It is not touched otherwise.
func (s *Shelf) Fetch(key Key, value any) bool {
	if s == nil {
		return false
	}
	file := s.file(key)
	content, err := os.ReadFile(file)
	if err != nil {
		return false
	}
	packed, sound := opened(content, key)
	if !sound || Unpack(packed, value) != nil {
		return false
	}
	now := time.Now()
	_ = os.Chtimes(file, now, now) // one that cannot be marked as used goes sooner, no more
	return true
}

// opened is the packed value in a file; false where that is damaged, or of another key.
func opened(content []byte, key Key) (packed []byte, sound bool) {
	end := len(content) - crc32.Size
	head := len(begin) + len(key)
	if end < head || !bytes.HasPrefix(content, []byte(begin)) || !bytes.Equal(content[len(begin):head], key[:]) {
		return nil, false
	}
	return content[head:end], checksum(content[:end]) == binary.LittleEndian.Uint32(content[end:])
}

func checksum(content []byte) uint32 {
	return crc32.Checksum(content, crc32.MakeTable(crc32.Castagnoli))
}

// Put keeps the value that a pointer points to under a key, as far as there is room. It is
// written as it is packed, for it may be the larger part of what the process holds.
func (s *Shelf) Put(key Key, value any) (kept bool) {
	if s == nil {
		return false
	}
	file, err := s.newFile()
	if err != nil {
		return false
	}
	if size, whole := s.fill(file, key, value); whole {
		return s.settle(file, size, key)
	}
	giveUp(file)
	return false
}

// fill writes a file of a key; false where that fails, or becomes larger than the shelf. It
// need not outlast a power cut: one that was cut short is found damaged.
func (s *Shelf) fill(draft io.Writer, key Key, value any) (size int64, whole bool) {
	whole = true
	table, sum := crc32.MakeTable(crc32.Castagnoli), uint32(0)
	write := func(some []byte) {
		size += int64(len(some))
		if whole = whole && size <= s.limit; !whole {
			return
		}
		sum = crc32.Update(sum, table, some)
		_, err := draft.Write(some)
		whole = err == nil
	}
	write(append([]byte(begin), key[:]...))
	packTo(write, value)
	write(binary.LittleEndian.AppendUint32(nil, sum))
	return size, whole
}

func (s *Shelf) file(key Key) string { return filepath.Join(s.folder, hex.EncodeToString(key[:])) }
