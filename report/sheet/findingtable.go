package sheet

import (
	"io"
	"strconv"
)

// FindingTable writes what to inspect, and where in the bore it is.
func (s *Sheet) FindingTable(w io.Writer, u Units) error {
	set := u.set()
	g := grid{columns: []column{
		{name: "no"},
		{name: "rule", left: true},
		{name: "pass"},
		{name: "layer"},
		{name: "angle", unit: "deg"},
		{name: "depth", unit: set.length},
		{name: "start", unit: s.timeUnit()},
		{name: "for", unit: "s"},
		{name: "worst"},
		{name: "limit"},
		{name: "beyond"},
		{name: "unit", left: true},
		{name: "state", left: true},
	}}
	for i := range s.findings {
		f := &s.findings[i]
		g.add(s.findingCells(i, u), wrap(f.sentence(u), pageWidth-5)...)
	}
	return s.writeTable(w, "findings", &g, []string{
		s.timeNote(),
		"angle clockwise from the reference mark, seen from the torch side; depth from the entry face",
		s.findingsLine(),
	})
}

func (s *Sheet) findingCells(k int, u Units) []string {
	f := &s.findings[k]
	m, set := measureOf(f.Rule, u), u.set()
	angle, depth := dash, dash
	if f.Place != nil {
		angle = digits(plain(&f.Place.Angle), 0)
		depth = digits(in(&f.Place.Depth, set.length), set.depth)
	}
	return []string{
		strconv.Itoa(f.Number), string(f.Rule), strconv.Itoa(f.Finding.Pass), count(f.Layer),
		angle, depth, f.start.short(), digits(plain(&f.Duration), 2),
		m.text(f.Worst), m.text(f.Limit), signed(digits(m.span(f.Beyond), m.decimals), f.Beyond), m.unit, string(s.book.Findings[k].State),
	}
}
