package capture

import (
	"bytes"
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"
)

// findBody finds the first row of data at or after rows[from] and settles how
// its time is read.
func (s *sniffer) findBody(from int) error {
	var why string
	var failed *headRow
	for i := from; i < len(s.rows); i++ {
		row := &s.rows[i]
		if row.comment {
			continue
		}
		reason, err := s.tryRow(row)
		if err != nil {
			return err
		}
		if reason == "" {
			s.beginAt(from, i)
			return nil
		}
		if failed == nil || len(split(failed.text, s.separator, nil)) != s.columns {
			failed, why = row, reason
		}
	}
	if failed == nil {
		return s.fail(0, "", "there is a header, but no row of data")
	}
	return s.fail(failed.number, "give --time-layout as Go writes it (15:04:05.000, 04:05.0, unix), and the columns by number or header",
		"no row of data could be read: %s; the line has %s", why, numbered(split(failed.text, s.separator, nil)))
}

// tryRow reads one row as data and returns what is wrong with it.
func (s *sniffer) tryRow(at *headRow) (string, error) {
	in := parser{plan: s.plan}
	in.fields = split(at.text, s.separator, nil)
	if len(in.fields) != s.columns {
		return "wrong number of fields", nil
	}
	note := ""
	if s.rate == 0 {
		field := in.timeField()
		stamps, reason, err := s.chooseStamps(field)
		if err != nil || reason != "" {
			return reason, err
		}
		note = stamps.settle(s.typicalTime(&in, field))
		s.stamps = stamps
	}
	var r row
	in.parse(at.text, &r)
	if r.state == unreadable {
		return r.why, nil
	}
	if note != "" {
		s.notes = append(s.notes, note)
	}
	return "", nil
}

// typicalTime returns the median of the times that are numbers, else the field
// given: the first row of a capture may be damaged.
func (s *sniffer) typicalTime(in *parser, field []byte) []byte {
	type stamp struct {
		value float64
		text  []byte
	}
	var all []stamp
	for _, row := range s.rows {
		if in.fields = split(row.text, s.separator, in.fields[:0]); row.comment || len(in.fields) != s.columns {
			continue
		}
		text := bytes.Clone(in.timeField())
		if n, ok := parseNumber(text, s.point); ok {
			all = append(all, stamp{n.value(), text})
		}
	}
	if len(all) == 0 {
		return field
	}
	slices.SortFunc(all, func(a, b stamp) int { return cmp.Compare(a.value, b.value) })
	return all[len(all)/2].text
}

func (s *sniffer) chooseStamps(field []byte) (*stamps, string, error) {
	layout := s.o.TimeLayout
	if layout == "" {
		var ok bool
		var err error
		if layout, ok, err = s.guessLayout(field); err != nil {
			return nil, "", err
		} else if !ok {
			return nil, fmt.Sprintf("the layout of the time %q is not known", field), nil
		}
	}
	st, err := newStamps(layout, s.time.factor, s.point)
	if err != nil {
		return nil, "", s.fail(0, "", "%v", err)
	}
	return st, "", nil
}

// beginAt fixes where the data begin: rows before the first that can be read
// are a header or preamble if they hold names, else damaged rows of data.
func (s *sniffer) beginAt(from, first int) {
	start := from
	for i := from; i < first; i++ {
		if row := s.rows[i]; !row.comment && s.isHeading(row.text) {
			start = i + 1
			if s.header == nil {
				if names := split(row.text, s.separator, nil); len(names) >= s.columns-1 {
					s.header = names
				}
			}
		}
	}
	s.guessOptional(split(s.rows[first].text, s.separator, nil))
	if start > 0 {
		s.skip = s.rows[start-1].number
	}
}

// isHeading reports whether a line has a field that begins as a name does.
func (s *sniffer) isHeading(line []byte) bool {
	for _, f := range split(line, s.separator, nil) {
		f = trim(f)
		if len(f) == 0 || (f[0]|0x20 < 'a' || f[0]|0x20 > 'z') && f[0] < utf8.RuneSelf {
			continue
		}
		if _, err := strconv.ParseFloat(string(f), 64); err == nil || isFlag(f, s.point) {
			continue // NaN, Inf, true, false
		}
		return true
	}
	return false
}

// describe notes what was taken for what.
func (s *sniffer) describe() {
	var parts []string
	say := func(word string, c column) {
		if !c.given() {
			return
		}
		text := word + " from"
		for k, at := range c.at {
			if k > 0 {
				text += " and"
			}
			text += fmt.Sprintf(" column %d", at+1)
			if at < len(s.header) && len(trim(s.header[at])) > 0 {
				text += fmt.Sprintf(" (%s)", excerpt(trim(s.header[at])))
			}
		}
		if c.factor != one {
			text += fmt.Sprintf(" times %g", c.factor.value())
		}
		parts = append(parts, text)
	}
	if s.stamps != nil {
		say("time", s.time)
		parts[0] += " as " + s.stamps.layout
	} else {
		parts = append(parts, fmt.Sprintf("time from a rate of %g Hz", s.rate))
	}
	say("voltage", s.voltage)
	say("current", s.current)
	say("wire speed", s.wireSpeed)
	say("wire length", s.wireLength)
	say("turns", s.turns)
	say("position", s.position)
	say("travel speed", s.travel)
	say("arc flag", s.flag)
	s.notes = append([]string{strings.Join(parts, ", ")}, s.notes...)
}
