package sheet

import (
	"fmt"
	"io"
	"strings"
	"time"

	"arctally/acquire/calib"
)

// CheckList is what is on record of set-up checks; the object of "check --json".
type CheckList struct {
	Record  string          `json:"record"`
	Job     string          `json:"job"`
	Checks  []*calib.Check  `json:"checks"`
	Missing []calib.Subject `json:"missing,omitempty"` // subjects without a check
}

// ChecksJSON writes the list as JSON, in full precision.
func ChecksJSON(w io.Writer, l CheckList) error {
	if l.Checks == nil {
		l.Checks = []*calib.Check{}
	}
	return writeJSON(w, l)
}

// WriteChecks writes the list for a person, as it stands on a day.
func WriteChecks(w io.Writer, l CheckList, today time.Time) error {
	var b strings.Builder
	fmt.Fprintf(&b, "set-up checks: %s\nrecord %s\n\n", orDash(l.Job), l.Record)
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

// WriteCheck writes one check for a person, as it stands on a day.
func WriteCheck(w io.Writer, number int, c *calib.Check, today time.Time) error {
	_, err := io.WriteString(w, checkText(number, c, today))
	return err
}

// checkWidth is how long a line about a check may be.
const checkWidth = 110

func checkText(number int, c *calib.Check, today time.Time) string {
	var b strings.Builder
	fmt.Fprintf(&b, "check %d: %s, %s UTC, by %s%s\n", number, c.Title(), c.Done.UTC().Format("2006-01-02 15:04"), c.By, checkTool(c))
	for _, text := range append([]string{c.Sentence}, c.Notes...) {
		for _, line := range wrap(text, checkWidth) {
			b.WriteString("     " + line + "\n")
		}
	}
	fmt.Fprintf(&b, "     %s%s; %s\n", holdsFrom(c), checkTick(c), checkDue(c, today))
	return b.String()
}

// checkTool says with what the check was made.
func checkTool(c *calib.Check) string {
	text := ""
	if c.Instrument != "" {
		text = ", with " + c.Instrument
	}
	if c.Certificate != "" {
		text += ", certificate " + c.Certificate
	}
	return text
}

// holdsFrom says for what the check holds.
func holdsFrom(c *calib.Check) string {
	if c.Epoch == 0 && c.Tick == 0 {
		return "holds for all of the record"
	}
	return "holds from then on, and changes nothing before it"
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

// checkLine is one check of the printed list.
type checkLine struct{ What, When, By, Tool, Due, Result, Holds string }

func (s *Sheet) checkLines() []checkLine {
	lines := make([]checkLine, 0, len(s.checks))
	for _, c := range s.checks {
		lines = append(lines, checkLine{
			What: c.Title(), When: c.Done.UTC().Format("2006-01-02 15:04 UTC"), By: c.By,
			Tool: orDash(strings.TrimPrefix(checkTool(c), ", with ")), Due: orDash(c.Due),
			Result: strings.Join(append([]string{c.Sentence}, c.Notes...), "; "), Holds: holdsFrom(c),
		})
	}
	return lines
}
