package sheet

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"arctally/analyze/pass"
)

// A clock without a date is read in seconds while they are few, and then in hours.
func TestInstant_LongTimes(t *testing.T) {
	for _, c := range []struct {
		epoch        int
		tick         int64
		clock, short string
	}{
		{0, 4_800_000_000_000, "4800.000 s", "4800.0"},
		{0, 1_234_567_890, "1.235 s", "1.2"},
		{2, 1_234_567_890, "e2 1.235 s", "e2 1.2"},
		{0, 9_999_999_000_000, "9999.999 s", "10000.0"},
		{0, 10_000_400_000_000, "2:46:40 h", "10000.4"},
		{0, 53_760_744_031_000_000, "14933:32:24 h", "14933:32:24"},
		{1, 53_760_744_531_000_000, "e1 14933:32:25 h", "e1 14933:32:25"},
		{0, -200_000_000_000_000, "-55:33:20 h", "-55:33:20"},
	} {
		i := wallClock(nil).at(pass.Moment{Epoch: c.epoch, Tick: c.tick})
		assert.Equal(t, c.clock, i.Clock())
		assert.Equal(t, c.short, i.Short())
	}
}
