package capture

import (
	"bytes"
	"fmt"
	"io"
	"math"
)

// What is looked at to learn the shape of a capture.
const (
	headSize   = 256 << 10
	headRows   = 400
	headerRows = 50 // a header stands no deeper than this
	mostRate   = 1e9
)

// headRow is one line of the beginning of a capture.
type headRow struct {
	number  int64
	text    []byte
	comment bool
}

// sniffer learns from the beginning of a capture how to read it.
type sniffer struct {
	*plan
	o    Options
	rows []headRow
}

// sniff returns the plan for a capture.
func sniff(r io.ReaderAt, size int64, name string, o Options) (*plan, error) {
	s := &sniffer{plan: &plan{name: name, rate: float64(o.Rate)}, o: o}
	if err := s.checkRate(); err != nil {
		return nil, err
	}
	if err := s.readHead(r, size); err != nil {
		return nil, err
	}
	if err := s.chooseSeparator(); err != nil {
		return nil, err
	}
	s.chooseMark()
	from, err := s.findHeader()
	if err != nil {
		return nil, err
	}
	if err := s.findBody(from); err != nil {
		return nil, err
	}
	s.describe()
	return s.plan, nil
}

func (s *sniffer) fail(line int64, hint, format string, a ...any) error {
	return &Error{Name: s.name, Line: line, What: fmt.Sprintf(format, a...), Next: hint}
}

func (s *sniffer) checkRate() error {
	switch {
	case s.rate < 0 || s.rate > mostRate || math.IsNaN(s.rate):
		return s.fail(0, "give the samples per second, as in --rate 50 kHz", "a rate of %g Hz is not possible", s.rate)
	case s.rate > 0 && s.o.Time != "":
		return s.fail(0, "give --rate only where there is no time column", "--time and --rate cannot both be given")
	}
	return nil
}

func (s *sniffer) readHead(r io.ReaderAt, size int64) error {
	mark := make([]byte, min(3, size))
	if _, err := r.ReadAt(mark, 0); err != nil && len(mark) > 0 && err != io.EOF {
		return &Error{Name: s.name, What: "reading failed: " + err.Error(), Err: err}
	}
	switch {
	case bytes.Equal(mark, []byte("\xef\xbb\xbf")):
		s.start = 3
	case bytes.HasPrefix(mark, []byte("\xff\xfe")), bytes.HasPrefix(mark, []byte("\xfe\xff")):
		return s.fail(0, "save it as UTF-8 text", "the text is UTF-16")
	case bytes.HasPrefix(mark, []byte("\x1f\x8b")), bytes.HasPrefix(mark, []byte("PK\x03")):
		return s.fail(0, "unpack it first", "the file is compressed")
	}
	whole := size <= headSize
	l := newLines(r, min(size, headSize), headSize, nil)
	l.off = s.start
	for len(s.rows) < headRows && l.next() {
		if l.tooLong || blank(l.text) || l.open && !whole {
			continue
		}
		s.rows = append(s.rows, headRow{l.number, bytes.Clone(l.text), isComment(l.text)})
	}
	if l.err != nil {
		return &Error{Name: s.name, Line: l.number, What: "reading failed: " + l.err.Error(), Err: l.err}
	}
	if s.firstRow() == nil {
		return s.fail(0, "", "the file has no rows of text")
	}
	return nil
}

// firstRow returns the first row that is no comment.
func (s *sniffer) firstRow() *headRow {
	for i := range s.rows {
		if !s.rows[i].comment {
			return &s.rows[i]
		}
	}
	return nil
}

// mostlyShare of the rows must agree on a separator at once; enoughShare will do
// where none reaches it.
const (
	mostlyShare = 0.8
	enoughShare = 0.5
)

func (s *sniffer) chooseSeparator() error {
	bestShare := 0.0
	for _, separator := range []byte{'\t', ';', ',', spaces} {
		columns, share := s.agreement(separator)
		if columns >= 2 && share > bestShare {
			s.separator, s.columns, bestShare = separator, columns, share
		}
		if bestShare >= mostlyShare {
			break
		}
	}
	if bestShare < enoughShare {
		first := s.firstRow()
		return s.fail(first.number, "fields are parted by commas, semicolons, tabs or spaces, the same number of them in each row",
			"no columns were found in %q", excerpt(first.text))
	}
	return nil
}

// agreement returns the most frequent number of columns and the share of rows
// that have it.
func (s *sniffer) agreement(separator byte) (columns int, share float64) {
	counts := map[int]int{}
	rows := 0
	var fields [][]byte
	for _, row := range s.rows {
		if row.comment {
			continue
		}
		rows++
		fields = split(row.text, separator, fields[:0])
		counts[len(fields)]++
		if n := len(fields); counts[n] > counts[columns] || counts[n] == counts[columns] && n > columns {
			columns = n
		}
	}
	return columns, float64(counts[columns]) / float64(rows)
}

// chooseMark takes a comma for the decimal mark only where it cannot be
// anything else: another separator, and no number with a point.
func (s *sniffer) chooseMark() {
	s.point = '.'
	if s.separator != ';' && s.separator != '\t' {
		return
	}
	commas := 0
	for _, row := range s.rows {
		for _, f := range split(row.text, s.separator, nil) {
			f = trim(f)
			if _, ok := parseNumber(f, '.'); ok && bytes.IndexByte(f, '.') >= 0 {
				return
			}
			if _, ok := parseNumber(f, ','); ok && bytes.IndexByte(f, ',') >= 0 {
				commas++
			}
		}
	}
	if commas > 0 {
		s.point = ','
		s.notes = append(s.notes, "numbers are read with a decimal comma")
	}
}
