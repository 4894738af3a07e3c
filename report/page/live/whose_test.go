package live

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"arctally/acquire/calib"
	"arctally/acquire/series"
)

// The page names the box that measures, at once says where it is another one, and for
// which channels no calibration is its own.
func TestRoll_Whose(t *testing.T) {
	say := func(serial string) series.Source {
		return series.Source{Serial: serial, Port: "/dev/p", Channels: []series.Channel{{Name: "voltage", Scale: 1}, {Name: "current", Scale: 1}}}
	}
	s := NewRoll(1, calib.Register{All: []calib.Timed{{Calibration: calib.Calibration{Channel: "voltage", Gain: 1.2, Box: "A"}}}})
	assert.Equal(t, Whose{Words: "no box has spoken yet", Without: []string{}}, s.Whose())
	s.Source(say("A"))
	assert.Equal(t, Whose{Words: "box A", Without: []string{}}, s.Whose())
	assert.Equal(t, 1.2, s.lines[0].Scale)
	s.Source(say("B"))
	change := "another box measures: box B in place of box A"
	assert.Equal(t, Whose{Words: "box B", Change: &change, Without: []string{"voltage"}}, s.Whose())
	assert.Equal(t, 1.0, s.lines[0].Scale, "the strip is not corrected by the calibration of another box")
	s.Source(say(""))
	assert.Equal(t, "the box on port /dev/p, which says no serial: its calibrations are bound to the port", s.Whose().Words)
	undescribed := say("")
	undescribed.Assumed = true
	s.Source(undescribed)
	assert.Contains(t, *s.Whose().Change, "a box that has not said yet who it is in place of the box on port /dev/p")
	s.Source(say("A"))
	assert.Equal(t, 1.2, s.lines[0].Scale)
	assert.Empty(t, s.Whose().Without)

	again := NewRoll(1, calib.Register{Speakers: calib.Speakers{{Source: say("A")}}}) // gone on with
	again.Source(say("B"))
	assert.Equal(t, change, *again.Whose().Change)
}
