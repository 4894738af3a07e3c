package analyze

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"arctally/acquire/calib"
	"arctally/analyze/bore"
	"arctally/analyze/pass"
)

// Setup is what is on record of how the instruments were set up and checked.
type Setup struct {
	Calibrations []calib.Timed  // in the order of time, those of the job file among them
	Checks       []*calib.Check // in the order of time
	Speakers     calib.Speakers
	// WallTime tells the wall time of a tick, false where it is not known.
	WallTime func(epoch int, tick int64) (time.Time, bool)
}

// Doubts tells which passes were laid with an instrument that was overdue on the
// day of the pass, and which without a check. What has a due date that cannot
// be held against a pass without a date raises no doubt here.
func (s Setup) Doubts(passes []pass.Pass) []Warning {
	all := s.overdue(passes)
	if w, ok := s.unchecked(passes); ok {
		all = append(all, w)
	}
	return all
}

// dated is a calibration or a check with the day from which it is overdue.
type dated struct {
	what string
	from calib.Timed
}

// overdue returns a warning for each instrument that was overdue.
func (s Setup) overdue(passes []pass.Pass) []Warning {
	var due []dated
	for _, c := range s.Calibrations {
		due = append(due, dated{"the calibration of " + c.Channel, c})
	}
	for _, c := range s.Checks {
		if c.Calibration == nil || c.Subject == calib.ZeroCheck { // whose calibration keeps the due date of the gain
			due = append(due, dated{"the check " + c.Title(), c.Timed()})
		}
	}
	var all []Warning
	for k, d := range due {
		var late []int
		for _, p := range passes {
			replaced := slices.ContainsFunc(due[k+1:], func(o dated) bool { return o.what == d.what && s.holds(&o.from, p.Start) })
			if !replaced && s.holds(&d.from, p.Start) && s.after(d.from.Due, p.Start) {
				late = append(late, p.Number)
			}
		}
		if len(late) > 0 {
			all = append(all, Warning{Kind: "overdue", Count: int64(len(late)), Text: fmt.Sprintf(
				"%s was due on %s, before %d of %d passes were laid, from pass %d on: have it checked, and judge them anew",
				d.what, d.from.Due, len(late), len(passes), late[0])})
		}
	}
	return all
}

// after tells whether a moment lies after a day, both of them known.
func (s Setup) after(day string, at pass.Moment) bool {
	due, err := time.Parse(time.DateOnly, strings.TrimSpace(day))
	if err != nil || s.WallTime == nil {
		return false
	}
	wall, known := s.WallTime(at.Epoch, at.Tick)
	return known && !wall.Before(due.AddDate(0, 0, 1))
}

// needed are the checks that a set-up needs besides calibrated voltage, current
// and travel, which have a warning of their own.
var needed = []struct {
	subject           calib.Subject
	channel           string
	turningAlone      bool // a bead on a plate has no centre
	calibrationWillDo bool
}{
	{calib.ZeroCheck, "voltage", false, false},
	{calib.ZeroCheck, "current", false, false},
	{calib.WireCheck, "wire_speed", false, true},
	{calib.CentringCheck, "", true, false},
}

// unchecked names the checks that were not on record when passes were laid.
func (s Setup) unchecked(passes []pass.Pass) (Warning, bool) {
	var missing []string
	var most int64
	for _, n := range needed {
		var without int64
		for _, p := range passes {
			if n.turningAlone && p.Pattern == bore.Straight {
				continue
			}
			without += count(!s.checked(n.subject, n.channel, n.calibrationWillDo, p.Start))
		}
		if without == 0 {
			continue
		}
		name := n.subject.Words()
		if n.subject == calib.ZeroCheck {
			name += " of " + n.channel
		}
		if without < int64(len(passes)) {
			name += fmt.Sprintf(" (%d of %d passes)", without, len(passes))
		}
		missing, most = append(missing, name), max(most, without)
	}
	return Warning{
		Kind: "no-check", Count: most,
		Text: "no set-up check on record when the passes were laid: " + strings.Join(missing, ", "),
	}, len(missing) > 0
}

// checked tells whether a check, or a calibration where that will do, holds at a place.
func (s Setup) checked(subject calib.Subject, channel string, calibrationWillDo bool, at pass.Moment) bool {
	for _, c := range s.Checks {
		from := c.Timed()
		if c.Subject == subject && c.Channel == channel && s.holds(&from, at) {
			return true
		}
	}
	return calibrationWillDo && slices.ContainsFunc(s.Calibrations, func(c calib.Timed) bool {
		return c.Channel == channel && s.holds(&c, at)
	})
}

// holds tells whether what is on record of a channel holds at a place, for who speaks
// there.
func (s Setup) holds(c *calib.Timed, at pass.Moment) bool {
	return c.HoldsAt(at.Epoch, at.Tick) && s.Speakers.Holds(c, s.Speakers.At(at.Epoch, at.Tick))
}
