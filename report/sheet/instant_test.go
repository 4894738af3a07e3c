package sheet

import (
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/analyze"
	"arctally/analyze/inspect"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
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
		i := wallClock{}.at(pass.Moment{Epoch: c.epoch, Tick: c.tick})
		assert.Equal(t, c.clock, i.Clock())
		assert.Equal(t, c.short, i.Short())
	}
}

// TestSecond goes through the table that the pages are held to as well: report/page/unit/times.test.mjs.
func TestSecond(t *testing.T) {
	table, err := os.ReadFile("../../testdata/times/instants.tsv")
	require.NoError(t, err)
	rows := strings.Split(strings.TrimSpace(string(table)), "\n")[1:]
	require.Greater(t, len(rows), 10)
	for _, row := range rows {
		field := strings.Split(row, "\t")
		at, err := time.Parse(time.RFC3339, field[0])
		require.NoError(t, err)
		zone, err := time.LoadLocation(field[1])
		require.NoError(t, err)
		require.Equal(t, field[2], Second(at.In(zone)), row)
	}
}

// A clock that is set back in the middle of a job does not set the times of its sheet back; the zone is told, and JSON is UTC.
func TestSheet_TimesAreInTheZoneOfTheReader(t *testing.T) {
	zone, err := time.LoadLocation("Europe/Berlin")
	require.NoError(t, err)
	begun := time.Date(2026, 10, 25, 0, 30, 0, 0, time.UTC)
	in := Input{
		Job: &procedure.Job{}, Zone: zone, Entries: []inspect.Entry{{Number: 1, At: begun.Add(time.Hour), By: "Inspector 1"}},
		Result:   analyze.Result{Passes: []pass.Pass{{Number: 1, End: pass.Moment{Tick: 3600e9}}, {Number: 2, Start: pass.Moment{Tick: 3600e9}, End: pass.Moment{Tick: 4000e9}}}},
		WallTime: func(_ int, tick int64) (time.Time, bool) { return begun.Add(time.Duration(tick)), true },
	}
	s := New(in)
	assert.Equal(t, []string{"02:30:00", "03:30:00"}, []string{s.Passes[0].Began.Clock(), s.Passes[1].Began.Clock()})
	assert.Equal(t, "times are UTC+02:00", s.TimeNote())
	assert.Equal(t, "2026-10-25 02:30:00 to 03:36:40 UTC+02:00", arcSpan(s.Passes))
	assert.Equal(t, "2026-10-25T01:30:00.000000Z", *s.Passes[1].row().Start)
	assert.Equal(t, "2026-10-25 03:30 UTC+02:00", Minute(ownEntries(in.Entries, in.steady())[0].At))
	in.Zone = nil
	assert.Equal(t, "times are UTC", New(in).TimeNote())
}
