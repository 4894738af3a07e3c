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
func Checks(w io.Writer, l sheet.CheckList, today time.Time) error {
	var b strings.Builder
	fmt.Fprintf(&b, "set-up checks: %s\nrecord %s\n\n", sheet.OrDash(l.Job), l.Record)
	for k, c := range l.Checks {
		b.WriteString(checkText(k+1, c, today))
	}
	if len(l.Checks) == 0 {
		b.WriteString("no set-up check is on record\n")
	}
	if len(l.Missing) > 0 {
		words := make([]string, len(l.Missing))
		for k, s := range l.Missing {
			words[k] = string(s)
		}
		fmt.Fprintf(&b, "\nmissing: %s\n", strings.Join(words, ", "))
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// Check writes one check for a person, as it stands on a day.
func Check(w io.Writer, number int, c *calib.Check, today time.Time) error {
	_, err := io.WriteString(w, checkText(number, c, today))
	return err
}

// checkWidth is how long a line about a check may be.
const checkWidth = 110

func checkText(number int, c *calib.Check, today time.Time) string {
	var b strings.Builder
	fmt.Fprintf(&b, "check %d: %s, %s UTC, by %s%s\n", number, c.Title(), c.Done.UTC().Format("2006-01-02 15:04"), c.By, sheet.CheckTool(c))
	for _, text := range append([]string{c.Sentence}, c.Notes...) {
		for _, line := range wrap(text, checkWidth) {
			b.WriteString("     " + line + "\n")
		}
	}
	fmt.Fprintf(&b, "     %s%s; %s\n", sheet.HoldsFrom(c), checkTick(c), checkDue(c, today))
	return b.String()
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
