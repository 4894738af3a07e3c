package sheet

import (
	"fmt"
	"io"
	"slices"
	"time"

	"arctally/acquire/calib"
	"arctally/acquire/series"
)

// CheckList is what is on record of set-up checks; the object of "check --json".
type CheckList struct {
	Record  string          `json:"record"`
	Job     string          `json:"job"`
	Checks  []*calib.Check  `json:"checks"`
	Missing []calib.Subject `json:"missing,omitempty"` // subjects without a check
	Units   Units           `json:"-"`                 // of the job
}

// ChecksIn are checks with their times in a zone.
func ChecksIn(checks []*calib.Check, zone *time.Location) []*calib.Check {
	read := slices.Clone(checks)
	for k, c := range checks {
		own := *c
		own.Done = c.Done.In(zone)
		if own.TakenOver = clone(c.TakenOver); own.TakenOver != nil {
			own.TakenOver.At = own.TakenOver.At.In(zone)
		}
		read[k] = &own
	}
	return read
}

// ChecksJSON writes the list as JSON, in full precision.
func ChecksJSON(w io.Writer, l CheckList) error {
	if l.Checks == nil {
		l.Checks = []*calib.Check{}
	}
	return writeJSON(w, l)
}

// CheckTool says with what the check was made.
func CheckTool(c *calib.Check) string {
	text := ""
	if c.Instrument != "" {
		text = ", with " + c.Instrument
	}
	if c.Certificate != "" {
		text += ", certificate " + c.Certificate
	}
	return text
}

// Whose says for which box a check holds; it is empty where it is about none.
func Whose(c *calib.Check) string {
	switch {
	case c.Channel == "":
		return ""
	case c.Box == "":
		return "of no named box: it holds for the one that spoke last before it, else for the first after it"
	default:
		return series.BoundTo(c.Box)
	}
}

// Which names the box that a check was made with.
func Which(c *calib.Check) string {
	if c.Box == "" {
		return "a box that is not named"
	}
	return series.Who(c.Box)
}

// TakenOver says where a check was made that was taken over; it is empty where it was
// made for its record.
func TakenOver(c *calib.Check) string {
	t := c.TakenOver
	if t == nil {
		return ""
	}
	return fmt.Sprintf("taken over from check %d of %s (fingerprint %.12s) %s after it was made, on %s by %s",
		t.Number, t.Record, t.Fingerprint, Age(t.At.Sub(c.Done)), Minute(t.At), t.By)
}

// Age is a time in hours and minutes.
func Age(d time.Duration) string {
	minutes := int(d.Minutes())
	if minutes < 60 {
		return fmt.Sprintf("%d min", minutes)
	}
	return fmt.Sprintf("%d h %d min", minutes/60, minutes%60)
}

// HoldsFrom says for what the check holds.
func HoldsFrom(c *calib.Check) string {
	if c.Epoch == 0 && c.Tick == 0 {
		return "holds for all of the record"
	}
	return "holds from then on, and changes nothing before it"
}
