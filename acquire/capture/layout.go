package capture

import (
	"strings"
	"time"
)

// part is one element of a time layout.
type part uint8

const (
	literal part = iota
	year4
	year2
	month
	monthName
	day
	hour24
	hour12
	minute
	second
	fraction
	noon // AM or PM
	zone
	other // known to time.Parse only
)

type item struct {
	part part
	text string // literal: the bytes; else as the layout writes it
}

// elements are the layout elements of Go's time package, longest first.
var elements = []item{
	{other, "January"},
	{other, "Monday"},
	{zone, "Z07:00"},
	{other, "-07:00:00"},
	{other, "-070000"},
	{zone, "-07:00"},
	{zone, "Z0700"},
	{zone, "-0700"},
	{year4, "2006"},
	{other, "002"},
	{zone, "-07"},
	{other, "MST"},
	{other, "Mon"},
	{monthName, "Jan"},
	{month, "01"},
	{day, "02"},
	{day, "_2"},
	{hour12, "03"},
	{minute, "04"},
	{second, "05"},
	{year2, "06"},
	{hour24, "15"},
	{noon, "PM"},
	{noon, "pm"},
	{month, "1"},
	{day, "2"},
	{hour12, "3"},
	{minute, "4"},
	{second, "5"},
}

// compile cuts a layout into its elements, so that a time is read without
// making a string of it, and minutes may go beyond 59 where there is no hour.
func compile(layout string) []item {
	var items []item
	for layout != "" {
		it := item{literal, layout[:1]}
		if last := len(items) - 1; last >= 0 && items[last].part == second && isFraction(layout) {
			it = item{fraction, layout[:1+len(layout[1:])-len(strings.TrimLeft(layout[1:], "09"))]}
		} else {
			for _, e := range elements {
				if strings.HasPrefix(layout, e.text) {
					it = e
					break
				}
			}
		}
		layout = layout[len(it.text):]
		items = append(items, it)
	}
	return items
}

func isFraction(layout string) bool {
	return len(layout) >= 2 && (layout[0] == '.' || layout[0] == ',') && (layout[1] == '0' || layout[1] == '9')
}

// moment collects what the elements say.
type moment struct {
	year, month, day     int
	hour, minute, second int
	nanos, offset        int64 // offset of the zone, ns
	noon, afternoon      bool  // noon: AM or PM was read
	half                 bool  // the hour is of 12
}

// readItems reads a whole field and returns ns since 1970, or since midnight
// or the full hour where the layout has no date or no hour.
func readItems(items []item, b []byte) (int64, bool) {
	m := moment{year: undatedYear, month: 1, day: 1}
	ok := true
	var leading part // elements before it were absent: it may exceed its usual range
	for k, it := range items {
		width := 2
		if leading == literal && it.part != literal {
			leading = it.part
			if k+1 == len(items) || items[k+1].part == literal || items[k+1].part == fraction {
				width = widest
			}
		}
		if b, ok = m.read(it, b, width); !ok {
			return 0, false
		}
	}
	if len(b) != 0 {
		return 0, false
	}
	return m.ticks(leading)
}

// widest is how many digits the leading element may have where something
// parts it from the next.
const widest = 7

func (m *moment) read(it item, b []byte, width int) ([]byte, bool) {
	ok := true
	switch it.part {
	case literal:
		if len(b) == 0 || b[0] != it.text[0] {
			return nil, false
		}
		return b[1:], true
	case year4:
		m.year, b, ok = readInt(b, 4, 4)
	case year2:
		m.year, b, ok = readInt(b, 2, 2)
		if m.year += 1900; m.year < 1969 { // as Go's time package reads two digits
			m.year += 100
		}
	case month:
		m.month, b, ok = readInt(b, 1, 2)
	case monthName:
		m.month, b, ok = readMonth(b)
	case day:
		if it.text == "_2" && len(b) > 0 && b[0] == ' ' {
			b = b[1:]
		}
		m.day, b, ok = readInt(b, 1, 2)
	case hour24:
		m.hour, b, ok = readInt(b, 1, width)
	case hour12:
		m.half = true
		m.hour, b, ok = readInt(b, 1, 2)
	case minute:
		m.minute, b, ok = readInt(b, 1, width)
	case second:
		m.second, b, ok = readInt(b, 1, width)
		if ok {
			m.nanos, b, ok = readFraction(b)
		}
	case fraction: // read with the seconds
	case noon:
		m.noon = true
		m.afternoon, b, ok = readNoon(b)
	case zone:
		m.offset, b, ok = readZone(b, it.text[0] == 'Z')
	default:
		return nil, false
	}
	return b, ok
}

// ticks checks the ranges; only the leading element may go beyond its own.
func (m *moment) ticks(leading part) (int64, bool) {
	switch {
	case m.year < firstYear || m.year > lastYear, m.month < 1 || m.month > 12, m.day < 1 || m.day > daysIn(m.year, m.month):
		return 0, false
	case m.hour > 23 && leading != hour24, m.minute > 59 && leading != minute, m.second > 59 && leading != second:
		return 0, false
	case m.half && m.hour > 12:
		return 0, false
	}
	switch { // 12 pm is noon, 12 am is midnight
	case m.noon && m.afternoon && m.hour < 12:
		m.hour += 12
	case m.noon && !m.afternoon && m.hour == 12:
		m.hour = 0
	}
	seconds := int64(daysSince1970(m.year, m.month, m.day))*86400 + int64(m.hour)*3600 + int64(m.minute)*60 + int64(m.second)
	return seconds*int64(time.Second) + m.nanos - m.offset, true
}

func readInt(b []byte, least, most int) (int, []byte, bool) {
	n, i := 0, 0
	for i < len(b) && i < most && b[i]-'0' <= 9 {
		n = 10*n + int(b[i]-'0')
		i++
	}
	return n, b[i:], i >= least
}

// readFraction reads the digits after the seconds, if any; those beyond the
// nanosecond are cut off.
func readFraction(b []byte) (int64, []byte, bool) {
	if len(b) == 0 || (b[0] != '.' && b[0] != ',') {
		return 0, b, true
	}
	var n int64
	i := 1
	for ; i < len(b) && b[i]-'0' <= 9; i++ {
		if i <= nanoDecimals {
			n = 10*n + int64(b[i]-'0')
		}
	}
	if i == 1 {
		return 0, nil, false
	}
	return n * powers[nanoDecimals-min(i-1, nanoDecimals)], b[i:], true
}

const monthNames = "janfebmaraprmayjunjulaugsepoctnovdec"

func readMonth(b []byte) (int, []byte, bool) {
	if len(b) < 3 {
		return 0, nil, false
	}
	for m := range 12 {
		name := monthNames[3*m : 3*m+3]
		if b[0]|0x20 == name[0] && b[1]|0x20 == name[1] && b[2]|0x20 == name[2] {
			return m + 1, b[3:], true
		}
	}
	return 0, nil, false
}

func readNoon(b []byte) (bool, []byte, bool) {
	if len(b) < 2 || b[1]|0x20 != 'm' || (b[0]|0x20 != 'a' && b[0]|0x20 != 'p') {
		return false, nil, false
	}
	return b[0]|0x20 == 'p', b[2:], true
}

func readZone(b []byte, zulu bool) (int64, []byte, bool) {
	if zulu && len(b) > 0 && b[0] == 'Z' {
		return 0, b[1:], true
	}
	if len(b) == 0 || (b[0] != '+' && b[0] != '-') {
		return 0, nil, false
	}
	negative := b[0] == '-'
	h, rest, ok := readInt(b[1:], 2, 2)
	if !ok {
		return 0, nil, false
	}
	m := 0
	if len(rest) > 0 && rest[0] == ':' {
		rest = rest[1:]
		m, rest, ok = readInt(rest, 2, 2)
	} else if len(rest) > 0 {
		m, rest, ok = readInt(rest, 2, 2)
	}
	offset := int64(h)*int64(time.Hour) + int64(m)*int64(time.Minute)
	if negative {
		offset = -offset
	}
	return offset, rest, ok
}

// daysSince1970 counts days of the Gregorian calendar, by years that begin in
// March, so that the leap day is their last.
func daysSince1970(year, month, day int) int {
	if month <= 2 {
		year, month = year-1, month+12
	}
	return 365*year + year/4 - year/100 + year/400 + (153*(month-3)+2)/5 + day - 1 - 719468
}

func daysIn(year, month int) int {
	switch month {
	case 2:
		if year%4 == 0 && (year%100 != 0 || year%400 == 0) {
			return 29
		}
		return 28
	case 4, 6, 9, 11:
		return 30
	default:
		return 31
	}
}
