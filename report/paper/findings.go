package paper

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"arctally/analyze/event"
	"arctally/analyze/inspect"
	"arctally/report/draw"
	"arctally/report/sheet"
)

func (r *record) findings() *section {
	s := &section{Heading: "Findings and what was decided"}
	if len(r.Events) == 0 {
		s.blocks = append(s.blocks, sentence("None."))
	} else {
		s.blocks = append(s.blocks, r.eventTable(), note("An event is the findings of one cause, and is decided on as one. The list of single findings: arctally findings, or the exports."))
	}
	s.blocks = append(s.blocks, bullets{Items: r.orphanLines()})
	if all := r.photographs(); len(all) > 0 {
		s.blocks = append(s.blocks, all)
	}
	s.blocks = append(s.blocks, subheading("What is open"), r.open(), sentence(r.FindingsLine()))
	s.blocks = append(s.blocks, r.aroundEvents()...)
	return s
}

func (r *record) eventTable() *table {
	t := &table{Class: "findings", size: 8, Stacked: true, Columns: []column{
		{Name: "Event", least: 14},
		{Name: "Place", least: 24},
		{Name: "What", least: 52},
		{Name: "How far out", least: 32},
		{Name: "Disposition", Boxed: true, least: 46},
	}}
	for i := range r.Events {
		t.Rows = append(t.Rows, r.eventRow(&r.Events[i]))
	}
	return t
}

func (r *record) eventRow(e *sheet.Event) row {
	worst := e.Worst
	m := sheet.MeasureOf(worst.Rule, r.units)
	value, limit := m.Against(worst.Finding.Worst, worst.Limit)
	decided := cell{{Text: string(e.State), Bold: true}}
	for _, line := range r.decisionLines(e) {
		decided = append(decided, part{Text: line})
	}
	what := cell{{Text: upperFirst(string(e.Cause)), Bold: true}, {Text: e.Lead.SentenceFor(r.units)}}
	for _, line := range r.within(e) {
		what = append(what, part{Text: line})
	}
	return row{Cells: []cell{
		{{Text: strconv.Itoa(e.Number), Bold: true, Mark: draw.PinMark(e)}},
		{{Text: r.placeText(e), Bold: true}, {Text: passText(e)}, {Text: e.Began.Clock()}},
		what,
		{
			{Text: m.Beyond(worst.Beyond) + m.Suffix(), Bold: true},
			{Text: "worst " + value + ", limit " + limit + m.Suffix()},
			{Text: "for " + sheet.Digits(sheet.Plain(&worst.Duration), 2) + " s"},
		},
		decided,
	}}
}

// single is how many findings of an event stand in lines of their own; of more, those of a kind share one.
const single = 6

// within lists the findings of an event, where there is more than the one that leads it.
func (r *record) within(e *sheet.Event) (lines []string) {
	if len(e.Of) == 1 {
		return nil
	}
	if len(e.Of) <= single {
		for _, f := range e.Of {
			lines = append(lines, fmt.Sprintf("Finding %d: %s", f.Number, r.shortText(f)))
		}
		return lines
	}
	var kinds []*kindOf
	for _, f := range e.Of {
		k := slices.IndexFunc(kinds, func(k *kindOf) bool { return k.worst.Rule == f.Rule && k.worst.Below() == f.Below() })
		if k < 0 {
			kinds, k = append(kinds, &kindOf{worst: f}), len(kinds)
		}
		kinds[k].add(f)
	}
	for _, k := range kinds {
		lines = append(lines, fmt.Sprintf("%s of %s, in pass %s; the worst, %d: %s", sheet.Plural(k.count, "finding", "findings"),
			sheet.Spaced(string(k.worst.Rule)), event.Ranges(slices.Compact(k.passes)), k.worst.Number, r.shortText(k.worst)))
	}
	return lines
}

// kindOf are findings of one rule on one side of its limit.
type kindOf struct {
	count  int
	passes []int
	worst  *sheet.Finding
}

func (k *kindOf) add(f *sheet.Finding) {
	k.count++
	k.passes = append(k.passes, f.Finding.Pass)
	if math.Abs(f.Beyond) > math.Abs(k.worst.Beyond) {
		k.worst = f
	}
}

// shortText is a finding in a line of its event.
func (r *record) shortText(f *sheet.Finding) string {
	m := sheet.MeasureOf(f.Rule, r.units)
	value, limit := m.Against(f.Worst, f.Limit)
	text := fmt.Sprintf("%s %s, limit %s%s, for %s s", sheet.Spaced(string(f.Rule)), value, limit, m.Suffix(), sheet.Digits(sheet.Plain(&f.Duration), 2))
	if f.Place != nil {
		text += ", from " + sheet.Digits(sheet.Plain(&f.Place.Angle), 0) + "°"
	}
	return text
}

func (r *record) placeText(e *sheet.Event) string {
	switch {
	case e.Whole:
		return "all of it"
	case e.Spread:
		return "many places"
	case e.Place == nil:
		return "place not known"
	}
	angle := sheet.Digits(sheet.Plain(&e.Place.Angle), 0) + "°"
	if doubt := sheet.AngleUncertainty(e.Place); doubt != nil {
		angle += " ±" + sheet.AngleDigits(*doubt) + "°"
	}
	return angle + " at " + sheet.Show(&e.Place.Depth, r.set.Depth) + " " + r.set.Depth.Name
}

func passText(e *sheet.Event) string {
	text := "pass "
	if len(e.Passes) > 1 {
		text = "passes "
	}
	text += event.Ranges(e.Passes)
	if e.Layer > 0 {
		text += fmt.Sprintf(", layer %d", e.Layer)
	}
	return text
}

// open are the events for which somebody has still to do something.
func (r *record) open() block {
	t := &table{Class: "warnings", size: 8, Columns: lefts("Event", "What", "Place", "State", "Last entry")}
	for i := range r.Events {
		if e := &r.Events[i]; e.State.IsOpen() {
			state := string(e.State)
			if e.Open < len(e.Of) {
				state += fmt.Sprintf(", %d of %d findings", e.Open, len(e.Of))
			}
			t.Rows = append(t.Rows, named(strconv.Itoa(e.Number), string(e.Cause), r.placeText(e)+", "+passText(e), state, r.lastEntryOf(e)))
		}
	}
	for i := range r.Book.Orphans {
		if item := &r.Book.Orphans[i]; item.State.IsOpen() {
			t.Rows = append(t.Rows, named(fmt.Sprintf("finding was %d", item.Of.Number), sheet.Spaced(string(item.Of.Rule)),
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
		lines = append(lines, strings.Join(append([]string{sheet.OrphanText(item, r.units) + "."}, orphanDecision(item)...), " "))
	}
	return lines
}

func orphanDecision(item *inspect.Item) []string {
	if item.Current == nil {
		return nil
	}
	return dispositionLines(item, []int{item.Current.Number})
}
