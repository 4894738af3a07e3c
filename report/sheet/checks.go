package sheet

import (
	"io"

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

// HoldsFrom says for what the check holds.
func HoldsFrom(c *calib.Check) string {
	if c.Epoch == 0 && c.Tick == 0 {
		return "holds for all of the record"
	}
	return "holds from then on, and changes nothing before it"
}
