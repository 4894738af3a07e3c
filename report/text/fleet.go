package text

import (
	"fmt"
	"io"
	"path"
	"strconv"

	"arctally/report/fleet"
	"arctally/report/sheet"
)

const leadsBack = "review: where serve shows the folder of the record, the page of that address has it; a bundle is its own folder"

// FleetCharts writes control charts for a person, a line each, those first that need a look.
func FleetCharts(w io.Writer, c *fleet.Charts) error {
	var p page
	title, unit := "heat input", c.Unit
	if c.Measure == fleet.ArcOn {
		title, unit = "arc-on ratio", ""
	}
	p.printf("%s of jobs, by %s: charts %d of %d\n\n", title, c.Side, len(c.Charts), c.InAll)
	side := string(c.Side)
	if c.Side == fleet.ByProcedure {
		side = ""
	}
	g := &grid{none: "nothing of that was taken in", columns: []column{
		{name: "procedure", left: true},
		{name: "window", unit: "kJ/mm", left: true},
		{name: side, left: true},
		{name: "jobs"},
		{name: "passes"},
		{name: "of", left: true},
		{name: "mean", unit: unit},
		{name: "low", unit: unit},
		{name: "high", unit: unit},
		{name: "last", unit: unit},
		{name: "outside"},
		{name: "one side"},
	}}
	for k := range c.Charts {
		one := &c.Charts[k]
		var last *float64
		digits := one.Decimals()
		if n := len(one.Newest); n > 0 {
			last = &one.Newest[n-1].Value
			digits = one.DecimalsOf(&one.Newest[n-1])
		}
		g.add([]string{
			orDash(one.Name), windowText(&one.Procedure), member(c.Side, one), strconv.FormatInt(one.Jobs, 10), strconv.FormatInt(one.Passes, 10), judgedSign(c.Measure, &one.Procedure), sheet.Digits(one.Mean, digits),
			sheet.Digits(one.Low, digits), sheet.Digits(one.High, digits), sheet.Digits(last, digits), countOrDash(one.Outside), strconv.Itoa(one.OneSided),
		}, chartLines(one)...)
	}
	notes := []string{
		"each job is one point, the mean of its passes there; limits: mean ± 3 R/1.128 with the mean moving range R (individuals chart, NIST/SEMATECH e-Handbook 6.3.2.2); they are the process's own, not the procedure's",
		"Q: heat input k*E; E: arc energy, where that is what the procedure means by heat input; r: arc-on ratio",
		"one side: the newest jobs in a row on one side of the mean; 8 are a signal",
		leadsBack,
	}
	if c.Undated > 0 {
		notes = append(notes, sheet.Plural(int(c.Undated), "job has", "jobs have")+" no date, and stand on no chart")
	}
	p.table(g, notes...)
	return p.writeTo(w, "charts")
}

// judgedSign is what a chart is of.
func judgedSign(m fleet.Measure, p *fleet.Procedure) string {
	switch {
	case m == fleet.ArcOn:
		return "r"
	case p.JudgesArcEnergy():
		return "E"
	default:
		return "Q"
	}
}

// windowText is the window of a procedure.
func windowText(p *fleet.Procedure) string {
	if p.WindowLow == nil && p.WindowHigh == nil {
		return sheet.Dash
	}
	return sheet.Digits(p.WindowLow, 3) + ".." + sheet.Digits(p.WindowHigh, 3)
}

// member is whose chart it is; by procedure it is nobody's.
func member(side fleet.Side, c *fleet.Chart) string {
	switch {
	case side == fleet.ByProcedure:
		return ""
	case c.Member == nil:
		return "not known"
	default:
		return *c.Member
	}
}

func chartLines(c *fleet.Chart) (lines []string) {
	if c.Signal != "" {
		lines = append(lines, "look: "+c.Signal)
	}
	if c.NoLimits != nil {
		lines = append(lines, "no limits: "+*c.NoLimits)
	}
	if c.Widened != nil && *c.Widened > 1 {
		lines = append(lines, fmt.Sprintf("limits widened by %.2f: each job resembles the one before it", *c.Widened))
	}
	for k := range c.Farthest {
		d := &c.Farthest[k]
		lines = append(lines, fmt.Sprintf("outside: %s  %s  %s", sheet.Digits(&d.Value, c.DecimalsOf(d)), d.At[:10], placeText(&d.Place)))
	}
	if n := len(c.Newest); n > 0 {
		lines = append(lines, "newest: "+placeText(&c.Newest[n-1].Place))
	}
	return lines
}

// placeText leads to the job: the record, its digest shortened, its review.
func placeText(p *fleet.Place) string {
	return lineOf("%s (%.12s), review %s", recordText(p), p.Digest, p.Review)
}

// recordText is the record, and that it is of no weld where it is simulated; the folder of a bundle is shortened.
func recordText(p *fleet.Place) string {
	text := p.Record
	if folder, name := path.Split(text); len(folder) > 12 {
		text = folder[:12] + ".../" + name
	}
	return text + p.Mark()
}

func lineOf(format string, values ...any) string {
	var p page
	p.printf(format, values...)
	return p.String()
}

func orDash(text *string) string {
	if text == nil {
		return sheet.Dash
	}
	return sheet.OrDash(*text)
}

func countOrDash(n *int) string {
	if n == nil {
		return sheet.Dash
	}
	return strconv.Itoa(*n)
}

// FleetProved writes for a person how many passes are proved, and what bars the others.
func FleetProved(w io.Writer, f *fleet.Proved) error {
	var p page
	p.printf("passes proved within: %d of %d, not proved %d, not known %d; procedures %d of %d\n\n", f.Proved, f.Passes, f.NotProved, f.NotKnown, len(f.Procedures), f.InAll)
	g := &grid{none: "nothing of that was taken in", columns: []column{
		{name: "procedure", left: true},
		{name: "window", unit: "kJ/mm", left: true},
		{name: "passes"},
		{name: "proved"},
		{name: "not proved"},
		{name: "not known"},
		{name: "share", unit: "%"},
	}}
	for k := range f.Procedures {
		one := &f.Procedures[k]
		var lines []string
		for n := range one.Bars {
			b := &one.Bars[n]
			lines = append(lines, lineOf("%s: %s, newest ", sheet.Spaced(b.Kind), sheet.Plural(int(b.Passes), "pass", "passes"))+placeText(&b.Place))
		}
		g.add([]string{
			orDash(one.Name), windowText(&one.Procedure), strconv.FormatInt(one.Passes, 10), strconv.FormatInt(one.Proved, 10), strconv.FormatInt(one.NotProved, 10), strconv.FormatInt(one.NotKnown, 10),
			percent(one.Share),
		}, lines...)
	}
	p.table(g, "share: of those of which it is known", sheet.NoClause, leadsBack)
	return p.writeTo(w, "proof")
}

func percent(share *float64) string {
	if share == nil {
		return sheet.Dash
	}
	return sheet.Digits(new(100**share), 1)
}

// FleetOpen writes the open events for a person.
func FleetOpen(w io.Writer, f *fleet.OpenEvents) error {
	var p page
	p.printf("open events: %d of %d\n", len(f.Events), f.InAll)
	for _, c := range f.Causes {
		p.printf("  %s: %d\n", c.Cause, c.Open)
	}
	p.WriteString("\n")
	g := &grid{none: "nothing is open", columns: []column{
		{name: "since", unit: "UTC", left: true},
		{name: "record", left: true},
		{name: "event"},
		{name: "pass"},
		{name: "angle", unit: "deg"},
		{name: "depth", unit: "mm"},
		{name: "cause", left: true},
		{name: "state", left: true},
	}}
	for k := range f.Events {
		e := &f.Events[k]
		g.add([]string{
			e.Since[:16], recordText(&e.Place), strconv.Itoa(e.Number), countOrDash(e.Pass), sheet.Digits(e.Angle, 0), sheet.Digits(e.Depth, 1), e.Cause, e.State,
		}, lineOf("%s", orDash(e.Sentence)), lineOf("review %s, digest %.12s", e.Review, e.Digest))
	}
	p.table(g, "those that wait longest; the program flags, it never accepts", leadsBack)
	return p.writeTo(w, "open events")
}

// FleetDue writes for a person which calibrations run out.
func FleetDue(w io.Writer, f *fleet.Due) error {
	var p page
	p.printf("calibrations on %s: run out %d, run out within %d days %d, without a day %d, in all %d\n\n", f.On, f.Overdue, f.Within, f.RunOut, f.NoDay, f.InAll)
	g := &grid{none: "none runs out within that time", columns: []column{
		{name: "box", left: true},
		{name: "channel", left: true},
		{name: "due", left: true},
		{name: "in", unit: "days"},
		{name: "done", left: true},
		{name: "certificate", left: true},
		{name: "review", left: true},
	}}
	for k := range f.Calibrated {
		c := &f.Calibrated[k]
		g.add([]string{orDash(c.Box), c.Channel, c.Due, strconv.Itoa(c.Days), orDash(c.Done), orDash(c.Certificate), c.Review})
	}
	p.table(g, "the newest of each channel of each box; on the day on which it is due it still holds", "box -: nobody said whose it is", leadsBack)
	return p.writeTo(w, "calibrations")
}

// FleetChanges writes for a person what was taken in since a moment.
func FleetChanges(w io.Writer, f *fleet.Changes) error {
	var p page
	p.printf("taken in since %s: %d of %d\n\n", f.Since, len(f.States), f.InAll)
	g := &grid{none: "nothing was taken in since then", columns: []column{
		{name: "taken in", unit: "UTC", left: true},
		{name: "record", left: true},
		{name: "it", left: true},
		{name: "passes"},
		{name: "proved"},
		{name: "open"},
		{name: "before", unit: "passes, proved, open", left: true},
		{name: "review", left: true},
	}}
	for k := range f.States {
		c := &f.States[k]
		before := sheet.Dash
		if b := c.Before; b != nil {
			before = fmt.Sprintf("%d, %s, %d", b.Passes, countOrDash(b.Proved), b.Open)
		}
		g.add([]string{
			c.TakenIn[:19], recordText(&c.Place), string(c.Outcome), strconv.Itoa(c.Now.Passes), countOrDash(c.Now.Proved), strconv.Itoa(c.Now.Open), before, c.Review,
		})
	}
	p.table(g, leadsBack)
	return p.writeTo(w, "changes")
}
