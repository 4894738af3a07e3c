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

func (r *record) instruments() *section {
	t := &table{Class: "instruments", size: 8, Columns: lefts("Channel", "Box", "Correction", "Standard uncertainty", "Calibrated", "Due", "Certificate", "State")}
	for _, channel := range needed {
		any := false
		for _, c := range r.Instruments {
			if c.Channel == channel {
				t.Rows, any = append(t.Rows, r.instrument(c)), true
			}
		}
		if any {
			continue
		}
		missing := named(sheet.Spaced(channel), sheet.Dash, sheet.Dash, sheet.Dash, sheet.Dash, sheet.Dash, sheet.Dash, "none on record")
		missing.Cells[7][0].Bold = true
		t.Rows = append(t.Rows, missing)
	}
	for _, c := range r.Instruments {
		if !slices.Contains(needed, c.Channel) {
			t.Rows = append(t.Rows, r.instrument(c))
		}
	}
	return &section{Heading: "Instruments and set-up checks", blocks: []block{
		onPage{subheading("Instruments")}, t, subheading("Set-up checks"), r.checks(),
	}}
}

// needed are the channels that the heat input and the deposit rest on.
var needed = []string{"voltage", "current", "wire_speed", "travel"}

// instrument is one channel with its calibration.
func (r *record) instrument(c calib.Calibration) row {
	uncertainty, state := "a default stands in", r.dueState(c.Due)
	if c.Relative > 0 {
		uncertainty = strconv.FormatFloat(c.Relative*100, 'g', 3, 64) + " %"
	}
	one := named(sheet.Spaced(c.Channel), sheet.OrDash(c.Box), "x "+strconv.FormatFloat(c.Gain, 'g', 7, 64)+", "+fmt.Sprintf("%+.4g", c.Offset), uncertainty,
		sheet.OrDash(c.Date), sheet.OrDash(c.Due), sheet.OrDash(c.Certificate), state)
	one.Cells[7][0].Bold = state != inDate
	return one
}

const inDate = "in date at the first arc"

// dueState holds the due date against the first arc of the job.
func (r *record) dueState(due string) string {
	if strings.TrimSpace(due) == "" {
		return "no due date on record"
	}
	day, err := time.Parse(time.DateOnly, strings.TrimSpace(due))
	if err != nil || len(r.Passes) == 0 || !r.Passes[0].Began.Dated {
		return "due date could not be held against the job"
	}
	if r.Passes[0].Began.Wall.Before(day.AddDate(0, 0, 1)) {
		return inDate
	}
	return "overdue at the first arc"
}

func (r *record) checks() block {
	if len(r.Checks) == 0 {
		return sentence("No set-up check is on record.")
	}
	t := &table{Class: "checks", size: 8, Stacked: true, Columns: lefts("Check", "When", "By", "Instrument", "Due", "What came out")}
	t.Columns[2].least = 16
	for _, c := range r.Checks {
		result := strings.Join(append([]string{c.Sentence}, c.Notes...), "; ") + ". It " + sheet.HoldsFrom(c) + "."
		if words := sheet.Whose(c); words != "" {
			result += " It is " + words + "."
		}
		if words := sheet.TakenOver(c); words != "" {
			result += " It was " + words + "."
		}
		t.Rows = append(t.Rows, named(c.Title(), sheet.Minute(c.Done), c.By,
			sheet.OrDash(strings.TrimPrefix(sheet.CheckTool(c), ", with ")), sheet.OrDash(c.Due), result))
	}
	return t
}
