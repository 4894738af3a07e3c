package page

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"net/http"
	"strconv"
	"strings"

	"github.com/klauspost/compress/flate"
)

// packer compresses events, each of them once for all pages. A stream of events is one
// stream of deflate (RFC 1951) in a frame of gzip (RFC 1952): pieces that end on a byte
// may follow one another in it, whoever made them.
//
// A state is much like the one before it. So a piece may refer back to the events that
// were told since the former state; who has not been sent these, one right after the
// other, is sent a piece that refers to nothing.
type packer struct {
	deflate *flate.Writer
	piece   bytes.Buffer
	recent  []byte // the events since a state, as they are sent; with that state
	since   int64  // number of the first of them
}

// backMost is how far deflate refers back.
const backMost = 32 << 10

// packLevel is the one of least work: a state takes it a tenth of a millisecond.
const packLevel = flate.BestSpeed

// pack compresses a text which may refer back to what was sent before it.
func (p *packer) pack(before, text []byte) []byte {
	if p.deflate == nil {
		var err error
		if p.deflate, err = flate.NewWriter(nil, packLevel); err != nil {
			panic("page: " + err.Error()) // the level is one that there is
		}
	}
	p.piece.Reset()
	p.deflate.ResetDict(&p.piece, before)
	_, _ = p.deflate.Write(text) // a buffer takes everything
	_ = p.deflate.Flush()
	return bytes.Clone(p.piece.Bytes())
}

// told remembers an event: the next may refer back to it.
func (p *packer) told(e *event) {
	if e.kind == eventLive || len(p.recent)+len(e.text) > backMost {
		p.recent, p.since = p.recent[:0], e.number
	}
	p.recent = append(p.recent, e.text...)
}

// gzipHead begins a stream of gzip of which neither name nor time is known.
var gzipHead = []byte{0x1f, 0x8b, 8, 0, 0, 0, 0, 0, 0, 0xff}

// lastPiece is an empty piece of deflate that says that none follows.
var lastPiece = []byte{3, 0}

// gzipTail ends one: the checksum of the text, and its length.
func gzipTail(sum uint32, length int) []byte {
	tail := binary.LittleEndian.AppendUint32(bytes.Clone(lastPiece), sum)
	return binary.LittleEndian.AppendUint32(tail, uint32(length))
}

// packedStream is one page's stream of gzip.
type packedStream struct {
	hub         *Hub
	first, last int64 // the events that were sent right after one another, up to now
	sum         uint32
	length      int
}

// comment compresses what is no event.
func (s *packedStream) comment(text []byte) []byte {
	s.first, s.last = 0, 0
	return s.wrote(text, s.hub.alone(text))
}

// message compresses an event.
func (s *packedStream) message(m *message) []byte {
	e := m.event
	if e == nil {
		return s.comment(m.text)
	}
	piece := e.packed
	if follows := s.first > 0 && e.number == s.last+1; !follows || e.since < s.first || piece == nil {
		piece, s.first = s.hub.packedAlone(e), e.number
	}
	s.last = e.number
	return s.wrote(m.text, piece)
}

func (s *packedStream) wrote(text, piece []byte) []byte {
	s.sum, s.length = crc32.Update(s.sum, crc32.IEEETable, text), s.length+len(text)
	return piece
}

// takesGzip tells whether who asks can read gzip.
func takesGzip(r *http.Request) bool {
	for one := range strings.SplitSeq(r.Header.Get("Accept-Encoding"), ",") {
		name, weight, _ := strings.Cut(one, ";")
		if !strings.EqualFold(strings.TrimSpace(name), "gzip") {
			continue
		}
		q, err := strconv.ParseFloat(strings.TrimPrefix(strings.TrimSpace(weight), "q="), 64)
		return err != nil || q > 0
	}
	return false
}
