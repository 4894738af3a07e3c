package paper

import (
	"fmt"
	"slices"

	"arctally/report/draw"
	"arctally/report/paper/layout"
	"arctally/report/sheet"
)

// recordKind is what the document is.
const recordKind = "Weld record"

// counts are how many passes have each verdict.
type counts []sheet.Verdict

func (counts) kind() string { return "counts" }

func (c counts) print(d *layout.Document) {
	printed := make([]layout.Count, len(c))
	for k, v := range c {
		printed[k] = layout.Count{Mark: draw.Sign(v.Sign), Number: fmt.Sprint(v.Passes), Words: v.Sentence}
	}
	d.Counts(printed)
}

// Icons are the signs of the verdicts, for the page.
func (c counts) Icons() (icons []*draw.Drawing) {
	for _, v := range c {
		icons = append(icons, draw.Sign(v.Sign))
	}
	return icons
}

// certified are the facts that stand on the certificate already.
var certified = []string{
	"Customer", "Order", "Machine", "Serial of the machine", "Procedure", "Process", "Operator", "Inspector", "Arc on, first to last",
	"Worn diameter", "Finish diameter", "Weld to diameter", "Wire batch", "Gas", "Gas batch",
}

// job is what the certificate does not say of it.
func (r *record) job() *section {
	var left facts
	for _, g := range r.FactGroups(r.units) {
		g.Facts = slices.DeleteFunc(g.Facts, func(f sheet.Fact) bool { return slices.Contains(certified, f.Label) })
		if len(g.Facts) > 0 {
			left = append(left, g)
		}
	}
	return &section{Heading: "The job", blocks: []block{left}}
}

// facts are values with their names, two groups side by side.
type facts []sheet.FactGroup

func (facts) kind() string { return "facts" }

// print puts every second group into the column at the right.
func (f facts) print(d *layout.Document) {
	column := func(first int) func() {
		return func() {
			for k := first; k < len(f); k += 2 {
				f.printGroup(d, f[k])
			}
		}
	}
	d.Columns(column(0), column(1))
}

func (facts) printGroup(d *layout.Document, g sheet.FactGroup) {
	d.Strong(g.Title)
	printed := make([]layout.Fact, len(g.Facts))
	for k, one := range g.Facts {
		printed[k] = layout.Fact{Label: one.Label, Value: one.Value}
	}
	d.Facts(printed)
}
