package capture

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var goLayouts = []string{
	"2006-01-02 15:04:05.000", "2006-01-02T15:04:05Z07:00", "2006-01-02T15:04:05.999999999-0700", "02/01/2006 15:04:05",
	"01/02/06 03:04:05 PM", "2-Jan-2006 15:04:05.0", "Jan _2 15:04:05", "15:04:05,000", "04:05.0", "20060102150405",
	"2006-1-2 3:4:5pm", "15:04", "05.000", "Monday, 02-Jan-06 15:04:05 MST", "2006-01-02 15:04:05 -07",
}

// TestLayoutsAgreeWithGo compares with the time package, whose layouts these are.
func TestLayoutsAgreeWithGo(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 1))
	for _, layout := range goLayouts {
		t.Run(layout, func(t *testing.T) {
			s, err := newStamps(layout, one, '.')
			require.NoError(t, err)
			for range 200 {
				at := time.Unix(random.Int64N(2e9), random.Int64N(1e9)).UTC()
				text := at.Format(layout)
				want, err := time.Parse(layout, text)
				require.NoError(t, err)
				if want.Year() == 0 {
					want = want.AddDate(undatedYear, 0, 0)
				}
				got, ok := s.parse([]byte(text))
				require.True(t, ok, text)
				require.Equal(t, want.UnixNano(), got, text)
			}
		})
	}
}

func TestLayoutKinds(t *testing.T) {
	for _, c := range []struct {
		layout string
		dated  bool
		cycle  time.Duration
	}{
		{"2006-01-02 15:04:05", true, 0},
		{"15:04:05.000", false, 24 * time.Hour},
		{"03:04:05 PM", false, 24 * time.Hour},
		{"03:04:05", false, 12 * time.Hour},
		{"04:05.0", false, time.Hour},
		{"Jan _2 15:04:05", false, 0},
	} {
		s, err := newStamps(c.layout, one, '.')
		require.NoError(t, err)
		assert.Equal(t, c.dated, s.dated, c.layout)
		assert.EqualValues(t, c.cycle, s.cycle, c.layout)
	}
	for _, bad := range []string{"", "hh:mm:ss", "Unix"} {
		_, err := newStamps(bad, one, '.')
		assert.Error(t, err, bad)
	}
	_, err := newStamps("15:04:05", number{2, 0}, '.')
	assert.ErrorContains(t, err, "factor")
}

func TestClockReadings(t *testing.T) {
	for _, c := range []struct {
		layout, text string
		want         time.Duration
		ok           bool
	}{
		{"04:05.0", "57:03.9", 57*time.Minute + 3900*time.Millisecond, true},
		{"04:05.0", "61:05.3", 61*time.Minute + 5300*time.Millisecond, true},
		{"04:05.0", "5:03.25", 5*time.Minute + 3250*time.Millisecond, true},
		{"04:05.0", "57:60.0", 0, false},
		{"04:05.0", "57:03.", 0, false},
		{"04:05.0", "57:03.1x", 0, false},
		{"04:05.0", "57", 0, false},
		{"15:04:05", "25:00:00", 25 * time.Hour, true},
		{"15:04:05", "23:60:00", 0, false},
		{"03:04:05", "12:00:01", time.Second, true},
		{"03:04:05", "13:00:01", 0, false},
		{"3:04:05 PM", "12:00:01 PM", 12*time.Hour + time.Second, true},
		{"3:04:05 PM", "12:00:01 AM", time.Second, true},
		{"05.000", "3605.5", 3605500 * time.Millisecond, true},
	} {
		s, err := newStamps(c.layout, one, '.')
		require.NoError(t, err)
		got, ok := s.parse([]byte(c.text))
		assert.Equal(t, c.ok, ok, c.text)
		if ok {
			assert.EqualValues(t, c.want, got, c.text)
		}
	}
	s, err := newStamps("2006-01-02", one, '.')
	assert.Nil(t, s)
	assert.Error(t, err, "a date alone is no clock")
	s, err = newStamps("2006-01-02 15:04", one, '.')
	require.NoError(t, err)
	_, ok := s.parse([]byte("2031-02-29 10:00"))
	assert.False(t, ok, "there is no such day")
}

// FuzzLayout: what is read must be what Go's time package reads, where that
// reads it at all.
func FuzzLayout(f *testing.F) {
	for _, l := range goLayouts {
		f.Add(l, time.Unix(1.9e9, 123456789).UTC().Format(l))
	}
	f.Fuzz(func(t *testing.T, layout, text string) {
		s, err := newStamps(layout, one, '.')
		if err != nil || s.number {
			return
		}
		got, ok := s.parse([]byte(text))
		want, err := time.Parse(layout, text)
		if err != nil || !ok || want.Year() == 0 || !s.dated {
			return
		}
		require.Equal(t, want.UnixNano(), got)
	})
}
