package link

import "bytes"

// longPiece is how many bytes without a delimiter are reported at a time: at
// 115200 baud a wrong baud rate shows after 0.4 s, not after the first zero.
const longPiece = 4096

// splitter cuts a stream at its delimiters into runs, and holds at most one run
// of limited length, however the stream comes divided.
type splitter struct {
	delimiter byte
	limit     int    // of a run, its delimiter not counted
	held      []byte // the run under way, as far as it has come in earlier calls
	start     int64  // offset in the stream of the run or piece under way
	length    int    // bytes of it so far
	long      bool   // the run under way is over the limit: only count it
}

func newSplitter(delimiter byte, limit int) splitter {
	return splitter{delimiter: delimiter, limit: limit, held: make([]byte, 0, limit)}
}

// next cuts the next run off p, or reports a piece of one that is too long. A
// run is valid until the next call. Empty runs are idle line and left out.
func (s *splitter) next(p *[]byte) (run []byte, at int64, damage *Error, ok bool) {
	for len(*p) > 0 {
		n := bytes.IndexByte(*p, s.delimiter)
		ended := n >= 0
		if !ended {
			n = len(*p)
		}
		if s.long || s.length+n > s.limit {
			if damage = s.discard(p, n, ended); damage != nil {
				return nil, 0, damage, true
			}
			continue
		}
		run = (*p)[:n]
		if s.length > 0 || !ended {
			s.held = append(s.held, run...)
			run = s.held
		}
		s.length += n
		if !ended {
			*p = nil
			break
		}
		*p = (*p)[n+1:]
		at = s.start
		s.begin()
		if len(run) > 0 {
			return run, at, nil, true
		}
	}
	return nil, 0, nil, false
}

// begin opens the run behind the delimiter of the one under way.
func (s *splitter) begin() {
	s.start += int64(s.length) + 1
	s.length = 0
	s.held = s.held[:0]
	s.long = false
}

// discard counts n bytes of a run that is too long, and reports it piece by
// piece: the pieces lie at the same offsets however the stream comes divided.
func (s *splitter) discard(p *[]byte, n int, ended bool) *Error {
	s.long = true
	n = min(n, longPiece-s.length)
	*p = (*p)[n:]
	s.length += n
	piece := &Error{Kind: TooLong, Offset: s.start, Bytes: s.length}
	switch {
	case s.length == longPiece:
		piece.Detail = "no end of a frame or line; is the baud rate right?"
		s.start += longPiece
		s.length = 0
		return piece
	case ended:
		*p = (*p)[1:]
		piece.Bytes++
		s.begin()
		return piece
	default:
		return nil
	}
}

// ends returns how many runs that are not empty end in p.
func (s *splitter) ends(p []byte) (n int) {
	empty := s.length == 0
	for _, c := range p {
		if c != s.delimiter {
			empty = false
			continue
		}
		if !empty {
			n++
		}
		empty = true
	}
	return n
}

// drop forgets the run under way: its end will never come.
func (s *splitter) drop() {
	s.start += int64(s.length)
	s.length, s.held, s.long = 0, s.held[:0], false
}
