package capture

import (
	"bytes"
	"errors"
	"io"
)

// Sizes of the reading buffer and of the longest line that is still a row.
const (
	bufferSize = 1 << 20
	longest    = 1 << 16
)

// lines cuts a file into lines ended by LF, CR LF or CR alone, also mixed. A
// quoted field never spans lines, so that a stray quote costs one row only.
type lines struct {
	r        io.ReaderAt
	size     int64
	off      int64 // of the byte after the buffer
	buf      []byte
	pos, end int
	lf, cr   int // next of each at or after pos; end where there is none; -1 is not looked for
	progress func(int64)
	err      error

	text    []byte
	number  int64 // of the line in text, from 1
	tooLong bool  // text is the line's beginning only
	open    bool  // the line has no end: the file stops in it
}

func newLines(r io.ReaderAt, size int64, buffer int, progress func(int64)) *lines {
	return &lines{r: r, size: size, buf: make([]byte, buffer), lf: -1, cr: -1, progress: progress}
}

// next brings the next line into text and reports whether there is one.
func (l *lines) next() bool {
	l.tooLong = false
	skipping := false
	for {
		e := l.lineEnd()
		if e == l.end || (l.buf[e] == '\r' && e+1 == l.end) {
			if l.off < l.size {
				skipping = l.makeRoom() || skipping
				if !l.fill() {
					return false
				}
				continue
			}
			if l.pos == l.end && !skipping {
				return false
			}
		}
		l.text = l.buf[l.pos:e]
		l.open = e == l.end
		if skipping || len(l.text) > longest {
			l.text, l.tooLong = l.text[:min(len(l.text), excerptLength)], true
		}
		l.advance(e)
		return true
	}
}

func (l *lines) advance(e int) {
	l.number++
	if e == l.end {
		l.pos = e
		return
	}
	l.pos = e + 1
	if l.buf[e] == '\r' && l.pos < l.end && l.buf[l.pos] == '\n' {
		l.pos++
	}
}

// lineEnd remembers where the next LF and the next CR are: without that, a
// file with CR alone would be searched for LF to its end once a line.
func (l *lines) lineEnd() int {
	if l.lf < l.pos {
		l.lf = l.index('\n')
	}
	if l.cr < l.pos {
		l.cr = l.index('\r')
	}
	return min(l.lf, l.cr)
}

func (l *lines) index(c byte) int {
	if i := bytes.IndexByte(l.buf[l.pos:l.end], c); i >= 0 {
		return l.pos + i
	}
	return l.end
}

// makeRoom drops a line that fills the whole buffer and reports that it did.
func (l *lines) makeRoom() bool {
	if l.pos > 0 || l.end < len(l.buf) {
		return false
	}
	// A CR at the very end is kept: it ends the line unless LF follows.
	keep := 0
	if l.buf[l.end-1] == '\r' {
		keep = 1
	}
	l.pos = l.end - keep
	return true
}

func (l *lines) fill() bool {
	l.end = copy(l.buf, l.buf[l.pos:l.end])
	l.pos, l.lf, l.cr = 0, -1, -1
	want := min(int64(len(l.buf)-l.end), l.size-l.off)
	n, err := l.r.ReadAt(l.buf[l.end:l.end+int(want)], l.off)
	if int64(n) < want {
		if err == nil || errors.Is(err, io.EOF) {
			err = io.ErrUnexpectedEOF
		}
		l.err = err
		return false
	}
	l.end += n
	l.off += int64(n)
	if l.progress != nil {
		l.progress(l.off)
	}
	return true
}
