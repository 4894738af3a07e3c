package capture

import (
	"bytes"
	"io"
	"math"
)

// plan is how the rows of one capture are to be read.
type plan struct {
	name      string
	separator byte
	point     byte // decimal mark
	columns   int
	start     int64 // offset of the first line, after a byte order mark
	skip      int64 // lines before the first row of data
	header    [][]byte

	time, voltage, current, wireSpeed, wireLength, flag column
	turns, position, travel                             column

	stamps *stamps // nil where there is no time column
	rate   float64 // Hz; where there is no time column
	notes  []string
}

// consumer takes the rows in the order of the file.
type consumer interface {
	row(*row) error
	lines(tally)
}

// tally counts lines that are not rows of data.
type tally struct {
	comments, preamble int64
	open               bool // the last line has no end
}

// run reads the whole capture once.
func (p *plan) run(r io.ReaderAt, size int64, progress func(int64), c consumer) error {
	l := newLines(r, size, bufferSize, progress)
	l.off = p.start
	in := parser{plan: p}
	by := newOrder(p, c)
	var t tally
	var current row
	for l.next() {
		text := l.text
		switch {
		case isComment(text):
			t.comments++
			continue
		case blank(text):
			continue
		case l.number <= p.skip:
			t.preamble++
			continue
		}
		current.line = l.number
		in.parse(text, &current)
		if l.tooLong {
			current.fail("the line is too long")
		}
		if current.state == unreadable {
			current.text = excerpt(text)
		}
		if p.stamps == nil {
			current.tick = p.tickAt(current.index)
		}
		if err := by.push(&current); err != nil {
			return err
		}
		current.index++
		current.text = ""
	}
	if l.err != nil {
		return &Error{Name: p.name, Line: l.number, What: "reading failed: " + l.err.Error(), Err: l.err}
	}
	if err := by.finish(); err != nil {
		return err
	}
	t.open = l.open
	c.lines(t)
	return nil
}

func isComment(line []byte) bool {
	line = bytes.TrimLeft(line, " \t")
	return len(line) > 0 && line[0] == '#'
}

// tickAt returns the tick of sample k of a capture without a time column.
func (p *plan) tickAt(k int64) int64 {
	if step := p.step(); step > 0 {
		return k * step
	}
	return int64(math.Round(1e9 * float64(k) / p.rate))
}

// step returns the ns between samples without a time column; 0 where that is
// no whole number.
func (p *plan) step() int64 {
	if s := 1e9 / p.rate; s == math.Trunc(s) {
		return int64(s)
	}
	return 0
}
