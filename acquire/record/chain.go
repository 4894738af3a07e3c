package record

import (
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"hash"
	"math"
)

// chain computes the hash of a commit group:
//
//	head = SHA-256(former head, rows of the group, columns of the commit)
//
// where the former head of group 1 is 32 zero bytes. A row is its table's name
// and its columns with the id first; each value is one letter for its type and
// then: i, an integer in 8 bytes, little-endian; r, an IEEE 754 binary64 in 8
// bytes, little-endian, never minus zero; t and b, a length in 8 bytes and that
// many bytes of text or blob; n, nothing, for NULL.
type chain struct {
	hash hash.Hash
	head [sha256.Size]byte
	rows int64
	buf  []byte
}

func newChain() *chain { return &chain{hash: sha256.New()} }

// begin starts the next group.
func (c *chain) begin() {
	c.hash.Reset()
	c.add(c.head[:])
	c.rows = 0
}

// row covers one row.
func (c *chain) row(table string, values []any) {
	c.buf = append(c.buf[:0], 't')
	c.buf = binary.LittleEndian.AppendUint64(c.buf, uint64(len(table)))
	c.buf = append(c.buf, table...)
	for _, v := range values {
		c.value(v)
	}
	c.add(c.buf)
	c.rows++
}

// value covers one value; a blob goes straight into the hash, because it may be large.
func (c *chain) value(v any) {
	le := binary.LittleEndian
	switch v := v.(type) {
	case nil:
		c.buf = append(c.buf, 'n')
	case int64:
		c.buf = le.AppendUint64(append(c.buf, 'i'), uint64(v))
	case float64:
		if v == 0 {
			v = 0 // SQLite does not keep the sign of zero
		}
		c.buf = le.AppendUint64(append(c.buf, 'r'), math.Float64bits(v))
	case string:
		c.buf = append(le.AppendUint64(append(c.buf, 't'), uint64(len(v))), v...)
	case []byte:
		c.buf = le.AppendUint64(append(c.buf, 'b'), uint64(len(v)))
		c.add(c.buf)
		c.add(v)
		c.buf = c.buf[:0]
	default:
		panic(fmt.Sprintf("record: a %T does not belong in a row", v))
	}
}

// end covers the columns of the commit itself and returns the new head.
func (c *chain) end(commit []any) []byte {
	c.buf = c.buf[:0]
	for _, v := range commit {
		c.value(v)
	}
	c.add(c.buf)
	c.hash.Sum(c.head[:0])
	return c.head[:]
}

func (c *chain) add(b []byte) {
	if _, err := c.hash.Write(b); err != nil {
		panic("record: " + err.Error()) // a hash never refuses bytes
	}
}
