package text

import (
	"fmt"
	"io"
	"strings"
	"time"

	"arctally/acquire/calib"
	"arctally/report/sheet"
)

// Checks writes the list for a person, as it stands on a day.
func Checks(w io.Writer, l sheet.CheckList, u sheet.Units, today time.Time) error {
	var p page
	p.printf("set-up checks: %s\nrecord %s\n\n", sheet.OrDash(l.Job), l.Record)
	for k, c := range l.Checks {
		p.check(k+1, u.Check(c), today)
	}
	if len(l.Checks) == 0 {
		p.lines("no set-up check is on record")
	}
	if len(l.Missing) > 0 {
		words := make([]string, len(l.Missing))
		for k, s := range l.Missing {
			words[k] = strings.ReplaceAll(string(s), "-", " ")
		}
		p.printf("\nmissing: %s\n", strings.Join(words, ", "))
	}
	return p.writeTo(w, "set-up checks")
}

// Check writes one check for a person, as it stands on a day.
func Check(w io.Writer, number int, c *calib.Check, u sheet.Units, today time.Time) error {
	var p page
	p.check(number, u.Check(c), today)
	return p.writeTo(w, "set-up check")
}

// checkWidth is how long a line about a check may be.
const checkWidth = 110

func (p *page) check(number int, c *calib.Check, today time.Time) {
	p.printf("check %d: %s, %s, by %s%s\n", number, c.Title(), sheet.Minute(c.Done), c.By, sheet.CheckTool(c))
	p.indented(checkWidth, append([]string{c.Sentence}, c.Notes...)...)
	for _, words := range []string{sheet.Whose(c), sheet.TakenOver(c)} {
		if words != "" {
			p.indented(checkWidth, words)
		}
	}
	p.printf("%s%s%s; %s\n", indent, sheet.HoldsFrom(c), checkTick(c), checkDue(c, today))
}

// checkTick says where in the samples that is.
func checkTick(c *calib.Check) string {
	if c.Epoch == 0 && c.Tick == 0 {
		return ""
	}
	return fmt.Sprintf(" (after tick %d ns of epoch %d)", c.Tick-1, c.Epoch)
}

// checkDue holds the due date against a day.
func checkDue(c *calib.Check, today time.Time) string {
	day, err := time.Parse(time.DateOnly, c.Due)
	switch {
	case err != nil:
		return "no due date"
	case today.Before(day.AddDate(0, 0, 1)):
		return "due " + c.Due
	default:
		return "OVERDUE since " + c.Due
	}
}
