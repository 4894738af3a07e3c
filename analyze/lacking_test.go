package analyze

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"arctally/acquire/calib"
	"arctally/analyze/bore"
)

func TestLacking(t *testing.T) {
	day := time.Date(2026, 5, 4, 23, 0, 0, 0, time.UTC)
	known := func(channel, due string) calib.Calibration {
		return calib.Calibration{Channel: channel, Gain: 1, Relative: 0.01, Due: due}
	}
	all := []calib.Calibration{known("voltage", "2026-05-04"), known("current", ""), known("travel", "no day"), known("wire_speed", "")}
	zeros := []*calib.Check{{Subject: calib.ZeroCheck, Channel: "voltage", Due: "2026-05-03"}, {Subject: calib.ZeroCheck, Channel: "current"}}

	assert.Equal(t, []Need{
		{Subject: calib.ZeroCheck, Channel: "voltage"},
		{Subject: calib.ZeroCheck, Channel: "current"},
		{Subject: calib.WireCheck, Channel: "wire_speed"},
		{Subject: calib.CentringCheck},
		{Subject: calib.MeterCheck, Channel: "voltage"},
		{Subject: calib.MeterCheck, Channel: "current"},
		{Subject: calib.RotationCheck, Channel: "travel"},
	}, Lacking(bore.Helix, nil, nil, day))
	assert.Equal(t, []Need{{Subject: calib.ZeroCheck, Channel: "voltage", Due: "2026-05-03"}}, Lacking(bore.Straight, all, zeros, day),
		"a bead on a plate has no centre, and a due day lasts to its end")
	again := append(zeros, &calib.Check{Subject: calib.ZeroCheck, Channel: "voltage"})
	assert.Equal(t, []Need{{Subject: calib.MeterCheck, Channel: "voltage", Due: "2026-05-04"}}, Lacking(bore.Straight, all, again, day.Add(time.Hour)))

	meter := &calib.Check{Subject: calib.MeterCheck, Channel: "voltage", Due: "2026-05-01", Calibration: &calib.Calibration{Channel: "voltage", Relative: 0.01, Due: "2026-05-01"}}
	assert.Equal(t, []Need{{Subject: calib.MeterCheck, Channel: "voltage", Due: "2026-05-01"}}, Lacking(bore.Straight, all, append(again, meter), day), "told once, though check and calibration say it")
	worthless := calib.Calibration{Channel: "current", Gain: 1}
	assert.Equal(t, []Need{{Subject: calib.MeterCheck, Channel: "current"}}, Lacking(bore.Straight, calib.InForce(all, worthless), again, day), "a gain without an uncertainty is none")
}
