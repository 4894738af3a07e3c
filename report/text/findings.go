package text

import (
	"io"
	"strconv"

	"arctally/report/sheet"
)

// Findings writes what to inspect, and where in the bore it is.
func Findings(w io.Writer, s *sheet.Sheet, u sheet.Units) error {
	set := u.Set()
	g := grid{none: "(none)", columns: []column{
		{name: "no"},
		{name: "rule", left: true},
		{name: "pass"},
		{name: "layer"},
		{name: "angle", unit: "deg"},
		{name: "depth", unit: set.Length.Name},
		{name: "start", unit: s.TimeUnit()},
		{name: "for", unit: "s"},
		{name: "worst"},
		{name: "limit"},
		{name: "beyond"},
		{name: "unit", left: true},
		{name: "state", left: true},
	}}
	for i := range s.Findings {
		f := &s.Findings[i]
		g.add(findingCells(s, i, u), wrap(f.SentenceFor(u), pageWidth-len(indent))...)
	}
	notes := []string{s.TimeNote(), "angle clockwise from the reference mark, seen from the torch side; depth from the entry face"}
	if len(s.Findings) > 0 {
		notes = append(notes, s.AngleLines()...)
	}
	return write(w, s, "findings", &g, append(notes, s.FindingsLine()))
}

func findingCells(s *sheet.Sheet, k int, u sheet.Units) []string {
	f := &s.Findings[k]
	m, set := sheet.MeasureOf(f.Rule, u), u.Set()
	angle, depth := sheet.Dash, sheet.Dash
	if f.Place != nil {
		angle = sheet.Digits(sheet.Plain(&f.Place.Angle), 0)
		depth = sheet.Show(&f.Place.Depth, set.Depth)
	}
	worst, limit := m.Against(f.Worst, f.Limit)
	return []string{
		strconv.Itoa(f.Number), string(f.Rule), strconv.Itoa(f.Finding.Pass), sheet.Count(f.Layer),
		angle, depth, f.Began.Short(), sheet.Digits(sheet.Plain(&f.Duration), 2),
		worst, limit, m.Beyond(f.Beyond), m.Name, string(s.Book.Findings[k].State),
	}
}
