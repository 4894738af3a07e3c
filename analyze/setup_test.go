package analyze

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/acquire/calib"
	"arctally/analyze/bore"
	"arctally/analyze/pass"
)

// dayOf is the day of an epoch in these tests.
func dayOf(epoch int, _ int64) (time.Time, bool) {
	return time.Date(2026, 5, 1+epoch, 12, 0, 0, 0, time.UTC), epoch < 9
}

// passesOf returns passes, one an epoch, that is one a day from 1 May on.
func passesOf(pattern bore.Pattern, n int) []pass.Pass {
	var passes []pass.Pass
	for k := range n {
		passes = append(passes, pass.Pass{Number: k + 1, Pattern: pattern, Start: pass.Moment{Epoch: k}})
	}
	return passes
}

func texts(warnings []Warning, kind string) (all []string) {
	for _, w := range warnings {
		if w.Kind == kind {
			all = append(all, w.Text)
		}
	}
	return all
}

func TestSetup_overdueOnTheDayOfThePass(t *testing.T) {
	s := Setup{
		WallTime: dayOf,
		Calibrations: []calib.Timed{
			{Calibration: calib.Calibration{Channel: "voltage", Due: "2026-05-02"}},
			{Calibration: calib.Calibration{Channel: "current", Due: "2026-05-01"}},
			{Calibration: calib.Calibration{Channel: "travel"}},
			{Calibration: calib.Calibration{Channel: "current", Due: "2027-05-01"}, Epoch: 3},
		},
		Checks: []*calib.Check{
			{Subject: calib.CentringCheck, Due: "2026-05-04"},
			{Subject: calib.MeterCheck, Channel: "current", Due: "2026-05-01", Calibration: &calib.Calibration{}},
		},
	}
	require.Equal(t, []string{
		"the calibration of voltage was due on 2026-05-02, before 3 of 5 passes were laid, from pass 3 on: have it checked, and judge them anew",
		"the calibration of current was due on 2026-05-01, before 2 of 5 passes were laid, from pass 2 on: have it checked, and judge them anew",
		"the check centring was due on 2026-05-04, before 1 of 5 passes were laid, from pass 5 on: have it checked, and judge them anew",
	}, texts(s.Doubts(passesOf(bore.Helix, 5)), "overdue"))
	s.WallTime = nil
	require.Empty(t, texts(s.Doubts(passesOf(bore.Helix, 5)), "overdue"), "a pass without a date is not held against a day")
	require.Empty(t, s.Doubts(nil))
}

func TestSetup_missingChecks(t *testing.T) {
	s := Setup{Checks: []*calib.Check{
		{Subject: calib.ZeroCheck, Channel: "voltage"},
		{Subject: calib.ZeroCheck, Channel: "current", Epoch: 1},
	}}
	require.Equal(t, []string{"no set-up check on record when the passes were laid: zero of current (1 of 3 passes), wire speed, centring"},
		texts(s.Doubts(passesOf(bore.Helix, 3)), "no-check"))
	s.Calibrations = []calib.Timed{{Calibration: calib.Calibration{Channel: "wire_speed"}}}
	require.Equal(t, []string{"no set-up check on record when the passes were laid: zero of current (1 of 3 passes)"},
		texts(s.Doubts(passesOf(bore.Straight, 3)), "no-check"), "a plate has no centre, and a calibrated feeder needs no run")
}
