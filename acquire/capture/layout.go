package capture

import (
	"regexp"
	"strconv"
	"time"
)

// clockLayout is a layout of Go's time package, read a little more kindly than
// the package itself does: a figure that stands alone may have one digit where the
// layout has two, seconds may have any fraction, and the first figure of a time
// without a date may go beyond its clock, as minutes do that count on past the hour.
type clockLayout struct {
	text  string
	first time.Duration // what one of the figure in front is; 0 where it keeps to its clock
}

var (
	alone      = regexp.MustCompile(`\b0([1-5])\b`)
	fraction   = regexp.MustCompile(`(05|\b5)[.,](?:0+|9+)(\D|$)`)
	inFront    = regexp.MustCompile(`^(?:15|0?4|0?5)(?:[^0-9A-Za-z]|$)`)
	figuresOne = map[byte]time.Duration{'1': time.Hour, '4': time.Minute, '5': time.Second}
)

func newClockLayout(layout string) clockLayout {
	l := clockLayout{text: fraction.ReplaceAllString(layout, "$1$2")} // time.Parse reads any fraction where the layout has none
	l.text = alone.ReplaceAllString(l.text, "$1")
	if inFront.MatchString(l.text) {
		l.first = figuresOne[l.text[0]]
	}
	return l
}

// widest is how many digits the figure in front may have: a million hours still
// fit into ticks.
const widest = 6

// parse reads a whole field; a time without a year is of the year 0.
func (l clockLayout) parse(field string) (time.Time, bool) {
	counted := time.Duration(0)
	if l.first != 0 {
		digits := 0
		for digits < len(field) && '0' <= field[digits] && field[digits] <= '9' {
			digits++
		}
		n, err := strconv.Atoi(field[:digits])
		if err != nil || digits > widest {
			return time.Time{}, false
		}
		counted, field = time.Duration(n)*l.first, "00"+field[digits:]
	}
	t, err := time.Parse(l.text, field)
	return t.Add(counted), err == nil
}

// shown says which parts of a moment a layout shows.
type shown struct {
	year, month, day, hour, half, minute, second bool // half: which half of the day
}

// A Monday, as are those that differ from it: a weekday alone is no date.
var someMonday = time.Date(2006, time.January, 2, 1, 1, 1, 0, time.UTC)

// shownBy compares how a layout writes moments that differ in one part.
func shownBy(layout string) shown {
	as := someMonday.Format(layout)
	differs := func(t time.Time) bool { return t.Format(layout) != as }
	return shown{
		year:   differs(someMonday.AddDate(6, 0, 0)),
		month:  differs(someMonday.AddDate(0, 9, 0)),
		day:    differs(someMonday.AddDate(0, 0, 7)),
		hour:   differs(someMonday.Add(time.Hour)),
		half:   differs(someMonday.Add(12 * time.Hour)),
		minute: differs(someMonday.Add(time.Minute)),
		second: differs(someMonday.Add(time.Second)),
	}
}
