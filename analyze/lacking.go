package analyze

import (
	"slices"
	"strings"
	"time"

	"arctally/acquire/calib"
	"arctally/analyze/bore"
)

// Need is one thing that the set-up of a job lacks, or whose day has passed.
type Need struct {
	Subject calib.Subject // the check that meets it
	Channel string        // empty where the check is about none
	Due     string        // the day that has passed; empty where nothing is on record
}

// restedOn are the channels whose calibration every pass rests on.
var restedOn = [...]string{"voltage", "current", "travel"}

// Lacking tells before an arc burns what the warnings of its record would tell of the
// set-up afterwards. Which box will speak is not known yet: a check or a calibration counts
// whichever box it is bound to.
func Lacking(pattern bore.Pattern, instruments []calib.Calibration, checks []*calib.Check, now time.Time) []Need {
	var of []calib.Calibration
	for _, c := range checks {
		if c.Calibration != nil {
			of = append(of, *c.Calibration)
		}
	}
	held := calib.InForce(instruments, of...)
	needs := lackingChecks(pattern, held, checks)
	for _, channel := range restedOn {
		k := slices.IndexFunc(held, func(h calib.Calibration) bool { return h.Channel == channel })
		if k < 0 || held[k].Relative == 0 {
			needs = append(needs, Need{Subject: checkOf(channel), Channel: channel})
		}
	}
	return append(needs, overdue(held, checks, now)...)
}

// lackingChecks are the checks that a set-up needs besides calibrations.
func lackingChecks(pattern bore.Pattern, held []calib.Calibration, checks []*calib.Check) (needs []Need) {
	for _, n := range needed {
		done := slices.ContainsFunc(checks, func(c *calib.Check) bool { return c.Subject == n.subject && c.Channel == n.channel })
		instead := n.calibrationWillDo && slices.ContainsFunc(held, func(h calib.Calibration) bool { return h.Channel == n.channel })
		if !done && !instead && (!n.turningAlone || pattern != bore.Straight) {
			needs = append(needs, Need{Subject: n.subject, Channel: n.channel})
		}
	}
	return needs
}

// overdue are the calibrations that hold, and the last check of each kind, whose day has
// passed.
func overdue(held []calib.Calibration, checks []*calib.Check, now time.Time) (needs []Need) {
	for _, h := range held {
		if past(h.Due, now) {
			needs = append(needs, Need{Subject: checkOf(h.Channel), Channel: h.Channel, Due: h.Due})
		}
	}
	for k, c := range checks {
		again := slices.ContainsFunc(checks[k+1:], func(o *calib.Check) bool { return o.Title() == c.Title() })
		if corrects := c.Calibration != nil && c.Subject != calib.ZeroCheck; !again && !corrects && past(c.Due, now) {
			needs = append(needs, Need{Subject: c.Subject, Channel: c.Channel, Due: c.Due})
		}
	}
	return needs
}

// checkOf is the check that calibrates a channel.
func checkOf(channel string) calib.Subject {
	switch channel {
	case "wire_speed":
		return calib.WireCheck
	case "travel":
		return calib.RotationCheck
	default:
		return calib.MeterCheck
	}
}

// past tells whether a due day lies behind. A day that cannot be read raises no doubt.
func past(day string, now time.Time) bool {
	due, err := time.Parse(time.DateOnly, strings.TrimSpace(day))
	return err == nil && !now.Before(due.AddDate(0, 0, 1))
}
