package handover

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io"
)

const digestSize = sha256.Size

// Sum is what tells bytes from others.
type Sum struct {
	Size   int64  // bytes
	SHA256 string // hexadecimal digits
}

// SumOf reads all there is, and sums it.
func SumOf(from io.Reader) (Sum, error) {
	h := sha256.New()
	n, err := io.Copy(h, from)
	return Sum{n, hex.EncodeToString(h.Sum(nil))}, err
}

// checked is a file of a bundle while it is read: at its end, and not before, it is known whether it is
// what the manifest says.
type checked struct {
	from  io.ReadCloser
	want  Sum
	where string
	hash  hash.Hash
	read  int64
}

func newChecked(from io.ReadCloser, want Sum, where string) *checked {
	return &checked{from: from, want: want, where: where, hash: sha256.New()}
}

// Read implements io.Reader: in place of io.EOF comes an error where the bytes are others.
func (c *checked) Read(b []byte) (int, error) {
	n, err := c.from.Read(b)
	c.hash.Write(b[:n])
	switch c.read += int64(n); {
	case c.read > c.want.Size:
		return 0, c.differs(fmt.Sprintf("it has more than the %d bytes that the manifest says", c.want.Size))
	case !errors.Is(err, io.EOF):
		return n, err
	case c.read < c.want.Size:
		return n, c.differs(fmt.Sprintf("it has %d bytes, where the manifest says %d", c.read, c.want.Size))
	case hex.EncodeToString(c.hash.Sum(nil)) != c.want.SHA256:
		return n, c.differs("its SHA-256 is not the one that the manifest says")
	default:
		return n, io.EOF
	}
}

func (c *checked) differs(text string) error {
	return &Error{Kind: Differs, Where: c.where, Text: text}
}

// Close implements io.Closer.
func (c *checked) Close() error { return c.from.Close() }
