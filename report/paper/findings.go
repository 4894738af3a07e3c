package paper

import (
	"fmt"
	"strconv"
	"strings"

	"arctally/report/draw"
	"arctally/report/sheet"
)

func (r *record) findings() *section {
	s := &section{Heading: "Findings and what was decided"}
	if len(r.Findings) == 0 {
		s.blocks = append(s.blocks, sentence("None."))
	} else {
		s.blocks = append(s.blocks, r.findingTable())
	}
	s.blocks = append(s.blocks, bullets{Items: r.orphanLines()})
	if all := r.photographs(); len(all) > 0 {
		s.blocks = append(s.blocks, all)
	}
	s.blocks = append(s.blocks, subheading("What is open"), r.open(), sentence(r.FindingsLine()))
	return s
}

func (r *record) findingTable() *table {
	t := &table{Class: "findings", size: 8, Stacked: true, Columns: []column{
		{Name: "No.", least: 13},
		{Name: "Place", least: 24},
		{Name: "What", least: 52},
		{Name: "How far out", least: 33},
		{Name: "Disposition", Boxed: true, least: 46},
	}}
	for i := range r.Findings {
		t.Rows = append(t.Rows, r.findingRow(i))
	}
	return t
}

func (r *record) findingRow(k int) row {
	f, item := &r.Findings[k], &r.Book.Findings[k]
	m := sheet.MeasureOf(f.Rule, r.units)
	worst, limit := m.Against(f.Worst, f.Limit)
	decided := cell{{Text: string(item.State), Bold: true}}
	for _, line := range dispositionLines(item) {
		decided = append(decided, part{Text: line})
	}
	return row{Cells: []cell{
		{{Text: strconv.Itoa(f.Number), Bold: true, Mark: draw.PinMark(f)}},
		{{Text: r.placeText(f), Bold: true}, {Text: passText(f)}, {Text: f.Began.Clock()}},
		{{Text: sheet.Spaced(string(f.Rule)), Bold: true}, {Text: f.SentenceFor(r.units)}},
		{
			{Text: m.Beyond(f.Beyond) + m.Suffix(), Bold: true},
			{Text: "worst " + worst + ", limit " + limit + m.Suffix()},
			{Text: "for " + sheet.Digits(sheet.Plain(&f.Duration), 2) + " s"},
		},
		decided,
	}}
}

func (r *record) placeText(f *sheet.Finding) string {
	if f.Place == nil {
		return "place not known"
	}
	return sheet.Digits(sheet.Plain(&f.Place.Angle), 0) + "° at " + sheet.Show(&f.Place.Depth, r.set.Depth) + " " + r.set.Depth.Name
}

func passText(f *sheet.Finding) string {
	if f.Layer > 0 {
		return fmt.Sprintf("pass %d, layer %d", f.Finding.Pass, f.Layer)
	}
	return fmt.Sprintf("pass %d", f.Finding.Pass)
}

// open are the findings for which somebody has still to do something.
func (r *record) open() block {
	t := &table{Class: "warnings", size: 8, Columns: lefts("No.", "What", "Place", "State", "Last entry")}
	for i := range r.Findings {
		f, item := &r.Findings[i], &r.Book.Findings[i]
		if item.State.IsOpen() {
			t.Rows = append(t.Rows, named(strconv.Itoa(f.Number), sheet.Spaced(string(f.Rule)), r.placeText(f)+", "+passText(f), string(item.State), lastEntry(item)))
		}
	}
	for i := range r.Book.Orphans {
		if item := &r.Book.Orphans[i]; item.State.IsOpen() {
			t.Rows = append(t.Rows, named(fmt.Sprintf("was %d", item.Of.Number), sheet.Spaced(string(item.Of.Rule)),
				fmt.Sprintf("decided on in another judgement, which this one does not have, pass %d", item.Of.Pass), string(item.State), lastEntry(item)))
		}
	}
	if len(t.Rows) == 0 {
		return sentence("Nothing.")
	}
	return t
}

// orphanLines are decisions on findings that this judgement does not have.
func (r *record) orphanLines() (lines []string) {
	for k := range r.Book.Orphans {
		item := &r.Book.Orphans[k]
		lines = append(lines, strings.Join(append([]string{sheet.OrphanText(item, r.units) + "."}, dispositionLines(item)...), " "))
	}
	return lines
}
