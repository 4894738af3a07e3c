package paper

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"arctally/acquire/calib"
	"arctally/report/sheet"
)

// instrumentLine is one channel with its calibration, or without one.
type instrumentLine struct {
	Channel, Correction, Uncertainty, Date, Due, Certificate, Status string
	Missing                                                          bool
}

// needed are the channels that the heat input and the deposit rest on.
var needed = []string{"voltage", "current", "wire_speed", "travel"}

func instrumentLines(s *sheet.Sheet) []instrumentLine {
	lines := []instrumentLine{}
	for _, channel := range needed {
		if c := instrument(s, channel); c != nil {
			lines = append(lines, newInstrumentLine(s, *c))
			continue
		}
		lines = append(lines, instrumentLine{
			Channel: sheet.Spaced(channel), Correction: sheet.Dash, Uncertainty: sheet.Dash, Date: sheet.Dash, Due: sheet.Dash, Certificate: sheet.Dash,
			Status: "none on record", Missing: true,
		})
	}
	for _, c := range s.Instruments {
		if !slices.Contains(needed, c.Channel) {
			lines = append(lines, newInstrumentLine(s, c))
		}
	}
	return lines
}

func instrument(s *sheet.Sheet, channel string) *calib.Calibration {
	for i := range s.Instruments {
		if s.Instruments[i].Channel == channel {
			return &s.Instruments[i]
		}
	}
	return nil
}

func newInstrumentLine(s *sheet.Sheet, c calib.Calibration) instrumentLine {
	line := instrumentLine{
		Channel:     sheet.Spaced(c.Channel),
		Correction:  "x " + strconv.FormatFloat(c.Gain, 'g', 7, 64) + ", " + fmt.Sprintf("%+.4g", c.Offset),
		Uncertainty: "a default stands in", Date: sheet.OrDash(c.Date), Due: sheet.OrDash(c.Due), Certificate: sheet.OrDash(c.Certificate),
		Status: dueStatus(s, c.Due),
	}
	if c.Relative > 0 {
		line.Uncertainty = strconv.FormatFloat(c.Relative*100, 'g', 3, 64) + " %"
	}
	line.Missing = line.Status != inDate
	return line
}

const inDate = "in date at the first arc"

// dueStatus holds the due date against the first arc of the job.
func dueStatus(s *sheet.Sheet, due string) string {
	if strings.TrimSpace(due) == "" {
		return "no due date on record"
	}
	day, err := time.Parse(time.DateOnly, strings.TrimSpace(due))
	if err != nil || len(s.Passes) == 0 || !s.Passes[0].Began.Dated {
		return "due date could not be held against the job"
	}
	if s.Passes[0].Began.Wall.Before(day.AddDate(0, 0, 1)) {
		return inDate
	}
	return "overdue at the first arc"
}
