package capture

import (
	"bytes"
	"regexp"
	"strconv"
	"strings"
)

// layouts are tried in turn where the options name none; a fraction after the
// seconds is always read.
var layouts = []string{
	"2006-01-02T15:04:05Z07:00",
	"2006-01-02T15:04:05Z0700",
	"2006-01-02T15:04:05",
	"2006-01-02 15:04:05Z07:00",
	"2006-01-02 15:04:05Z0700",
	"2006-01-02 15:04:05",
	"2006/01/02 15:04:05",
	"2006/01/02T15:04:05",
	"02.01.2006 15:04:05",
	"15:04:05",
}

// guessLayout finds the layout of a time field; minute:second is told from
// hour:minute by its fraction only.
func (s *sniffer) guessLayout(field []byte) (layout string, known bool, err error) {
	if _, ok := parseNumber(field, s.point); ok {
		return unixLayout, true, nil
	}
	for _, l := range layouts {
		if _, ok := newClockLayout(l).parse(string(field)); ok {
			return l, true, nil
		}
	}
	if layout, known, err = s.guessDate(field); known || err != nil {
		return layout, known, err
	}
	const minutes = "04:05.0"
	_, ok := newClockLayout(minutes).parse(string(field))
	return minutes, ok && strings.ContainsAny(string(field), ".,"), nil
}

// numbersFirst is a date whose day and month are two numbers in front of the year.
var numbersFirst = regexp.MustCompile(`^(\d{1,2})([/-])(\d{1,2})[/-]\d{4}[ T,]+\d{1,2}:\d\d(:\d\d)?([.,]\d+)?( ?[AaPp][Mm])?$`)

// months are in a year: a larger number is a day.
const months = 12

// guessDate finds the layout of a date that may have day or month first; the rows that
// are looked at must say which.
func (s *sniffer) guessDate(field []byte) (layout string, known bool, err error) {
	m := numbersFirst.FindSubmatch(field)
	if m == nil {
		return "", false, nil
	}
	clock := "15:04"
	if len(m[6]) > 0 {
		clock = "3:04"
	}
	if len(m[4]) > 0 {
		clock += ":05"
	}
	separator, between := string(m[2]), betweenDateAndClock.FindString(string(field))
	clock = between + clock + strings.NewReplacer("A", "P", "a", "p").Replace(string(m[6]))
	day, month := "02"+separator+"01"+separator+"2006"+clock, "01"+separator+"02"+separator+"2006"+clock
	switch first, second := s.largestNumbers(); {
	case first > months && second <= months:
		return day, true, nil
	case second > months && first <= months:
		return month, true, nil
	default:
		return "", false, s.fail(0, "give --time-layout \""+day+"\" where the day comes first, or \""+month+"\" where the month does",
			"the date %q may begin with the day or with the month", field)
	}
}

var betweenDateAndClock = regexp.MustCompile(`[ T,]+`)

// largestNumbers returns the largest first and second number of the dates in the rows
// that are looked at.
func (s *sniffer) largestNumbers() (first, second int) {
	in := parser{plan: s.plan}
	for _, row := range s.rows {
		if in.fields = split(row.text, s.separator, in.fields[:0]); row.comment || len(in.fields) != s.columns {
			continue
		}
		if m := numbersFirst.FindSubmatch(bytes.Clone(in.timeField())); m != nil {
			a, _ := strconv.Atoi(string(m[1]))
			b, _ := strconv.Atoi(string(m[3]))
			first, second = max(first, a), max(second, b)
		}
	}
	return first, second
}
