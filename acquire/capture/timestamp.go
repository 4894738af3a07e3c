package capture

import (
	"fmt"
	"math"
	"strings"
	"time"
)

// unixLayout is the option's word for seconds as a plain number.
const unixLayout = "unix"

// stamps reads the time fields of a capture.
type stamps struct {
	layout string
	number bool // seconds, times factor
	factor number
	point  byte
	dated  bool
	cycle  int64 // ns after which a clock without date begins anew; 0 is never
	clock  clockLayout
}

const halfDay = int64(12 * time.Hour)

// newStamps prepares the reading of a layout.
func newStamps(layout string, factor number, point byte) (*stamps, error) {
	s := &stamps{layout: layout, factor: factor, point: point}
	if layout == unixLayout {
		s.number = true
		return s, nil
	}
	if factor != one {
		return nil, fmt.Errorf("--time: a factor has a meaning only for seconds written as a number (--time-layout unix)")
	}
	has := shownBy(layout)
	if !has.hour && !has.minute && !has.second {
		return nil, fmt.Errorf("--time-layout %q shows no hour, minute or second: write it as Go does, "+
			"with the moment 2006-01-02 15:04:05.000 (04:05.0 is minute:second.tenth), or unix", layout)
	}
	s.clock = newClockLayout(layout)
	s.dated = has.year && has.month && has.day
	switch {
	case has.day:
	case has.hour && has.half:
		s.cycle = int64(24 * time.Hour)
	case has.hour:
		s.cycle = halfDay
	default:
		s.cycle = int64(time.Hour)
	}
	return s, nil
}

// parse returns the reading of the clock in ns: Unix time where it is dated.
func (s *stamps) parse(b []byte) (int64, bool) {
	if s.number {
		n, ok := parseNumber(b, s.point)
		if !ok {
			return 0, false
		}
		t, ok := n.nanoseconds(s.factor)
		// A number that was cut short at its front is still a number.
		return t, ok && (!s.dated || t >= firstDated*int64(time.Second))
	}
	t, ok := s.moment(string(b))
	if s.cycle == halfDay {
		t %= halfDay // a clock that goes from 12:59 to 1:00
	}
	return t, ok
}

// A tick is Unix time in 64 bits of ns, which holds these years in full.
const firstYear, lastYear = 1678, 2261

// moment returns Unix time in ns; without a year, that of undatedYear.
func (s *stamps) moment(field string) (int64, bool) {
	t, ok := s.clock.parse(field)
	if ok && !s.dated && t.Year() < undatedYear {
		day := t.Day()
		t = t.AddDate(undatedYear, 0, 0)
		ok = t.Day() == day // the year 0 has a 29 February, undatedYear has none
	}
	if !ok || t.Year() < firstYear || t.Year() > lastYear {
		return 0, false
	}
	return t.UnixNano(), true
}

// undatedYear makes times without a year begin at tick 0.
const undatedYear = 1970

// Numbers above these are no seconds of our time but finer units of it: 10^11 s
// is the year 5138, 10^11 ms was in 1973.
const (
	firstMillis = 1e11
	firstMicros = 1e14
	firstNanos  = 1e17
	firstDated  = 1e8 // s: March 1973; smaller numbers count from a start of their own
)

// settle takes from a typical time whether numbers are Unix time and in which
// unit, and returns a word on it.
func (s *stamps) settle(field []byte) string {
	if !s.number {
		if s.dated && !strings.Contains(s.layout, "Z07") && !strings.Contains(s.layout, "-07") {
			return "the time stamps name no time zone and are taken as UTC"
		}
		return ""
	}
	n, ok := parseNumber(field, s.point)
	if !ok {
		return ""
	}
	x := math.Abs(n.value())
	note := ""
	if s.factor == one {
		note = s.settleUnit(x)
	}
	s.dated = x*s.factor.value() >= firstDated
	return note
}

func (s *stamps) settleUnit(x float64) string {
	for _, u := range []struct {
		from     float64
		decimals int
		name     string
	}{{firstNanos, 9, "nanoseconds"}, {firstMicros, 6, "microseconds"}, {firstMillis, 3, "milliseconds"}} {
		if x >= u.from {
			s.factor = number{1, u.decimals}
			return "the time stamps are too large for seconds and are taken as " + u.name
		}
	}
	return ""
}
