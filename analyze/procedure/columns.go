package procedure

import (
	"slices"

	"arctally/acquire/series"
)

// columnsLink is the link of a plain meter.
const columnsLink = "columns"

// separators are the words for what parts two columns, and decimals those for the
// decimal mark.
var (
	separators = map[string]byte{"comma": ',', "semicolon": ';', "tab": '\t', "space": ' '}
	decimals   = map[string]byte{"point": '.', "comma": ','}
)

// readColumns reads what the columns of a plain meter are; nil where the link is
// another, which has no use for them.
func readColumns(s section, link string) *series.Layout {
	given := false
	for _, key := range []string{"columns", "separator", "decimal"} {
		n := s.values[key]
		given = given || n != nil
		if n != nil && link != "" && link != columnsLink {
			s.doc.fail(n, "%s is for link: %s, not for %s", s.path(key), columnsLink, link)
		}
	}
	if link == columnsLink {
		s.need("columns")
	} else if !given || link != "" {
		return nil
	}
	l := &series.Layout{Separator: ',', Point: '.'}
	if word := s.choice("decimal", "point", "comma"); word != "" {
		l.Point = decimals[word]
	}
	if l.Point == ',' {
		l.Separator = ';'
	}
	if word := s.choice("separator", "comma", "semicolon", "tab", "space"); word != "" {
		l.Separator = separators[word]
	}
	if l.Separator == l.Point {
		s.doc.fail(s.values["separator"], "%s: a comma cannot part the columns and be the decimal mark too", s.path("separator"))
	}
	l.Columns = readColumnNumbers(s)
	return l
}

// readColumnNumbers reads which column is which.
func readColumnNumbers(sensor section) (columns []series.Column) {
	channels := series.ColumnChannels()
	s, ok := sensor.sub("columns", channels...)
	if !ok {
		return nil
	}
	for _, channel := range channels {
		n := s.scalar(channel)
		if n == nil {
			continue
		}
		c, err := series.ParseColumn(channel, n.Value)
		if err != nil {
			s.doc.fail(n, "%s %v", s.path(channel), err)
			continue
		}
		if slices.ContainsFunc(columns, func(other series.Column) bool { return other.Number == c.Number }) {
			s.doc.fail(n, "%s: column %d is another channel already", s.path(channel), c.Number)
		}
		columns = append(columns, c)
	}
	for _, pair := range [][2]string{{"voltage", "current"}, {"current", "voltage"}} {
		if s.values[pair[0]] != nil && s.values[pair[1]] == nil {
			s.doc.fail(s.values[pair[0]], "%s counts only together with %s", s.path(pair[0]), s.path(pair[1]))
		}
	}
	if s.values != nil && len(s.values) == 0 {
		s.doc.fail(s.node, "%s names no column", s.title())
	}
	return columns
}
