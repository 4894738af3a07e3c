package procedure

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// longestName bounds what names a customer, an order or a machine, in letters: it is to
// stand in a line or two of a certificate. Ours, no source.
const longestName = 120

// shortText is a text of a line or two.
func (s section) shortText(key string) string {
	text := s.text(key)
	switch n := s.values[key]; {
	case utf8.RuneCountInString(text) > longestName:
		s.doc.fail(n, "%s has %d letters; write %d at most", s.path(key), utf8.RuneCountInString(text), longestName)
	case strings.ContainsFunc(text, unicode.IsControl):
		s.doc.fail(n, "%s must be one line of text", s.path(key))
	default:
		return text
	}
	return ""
}

func readCustomer(job section) (c Customer) {
	s, ok := job.sub("customer", "name", "order")
	if !ok {
		return c
	}
	c.Name, c.Order = s.shortText("name"), s.shortText("order")
	return c
}

func readMachine(job section) (m Machine) {
	s, ok := job.sub("machine", "name", "serial")
	if !ok {
		return m
	}
	m.Name, m.Serial = s.shortText("name"), s.shortText("serial")
	return m
}
