package links

import (
	"bytes"
	"math"
	"strconv"

	"arctally/acquire/link"
	"arctally/acquire/series"
)

// isText reports whether bytes are what a line of text has, and nothing else.
func isText(heard []byte) bool {
	for _, c := range heard {
		if (c < ' ' || c > '~') && c != '\r' && c != '\n' && c != '\t' {
			return false
		}
	}
	return len(heard) > 0
}

// dialects are how plain meters part their columns and write their decimals, those
// first that leave less to chance.
var dialects = []struct{ separator, point byte }{
	{';', ','}, {';', '.'}, {'\t', '.'}, {'\t', ','}, {',', '.'}, {' ', '.'}, {' ', ','},
}

// plainMeter returns what a plain meter said, nil where it is not one: all whole lines
// must be numbers, as many in each.
func plainMeter(heard []byte, baud int) *Speech {
	if !isText(heard) {
		return nil
	}
	lines := wholeLines(heard)
	if len(lines) < meterLines {
		return nil
	}
	for _, d := range dialects {
		ranges := columnsOf(lines, d.separator, d.point)
		if ranges == nil || d.separator != ' ' && len(ranges) < 2 {
			continue
		}
		s := &Speech{Link: link.Columns, Baud: baud, Frames: int64(len(lines)), Ranges: ranges}
		if len(ranges) > 1 {
			s.Arc = true
			s.Layout = &series.Layout{Separator: d.separator, Point: d.point, Columns: []series.Column{
				{Channel: "voltage", Number: 1, Factor: 1}, {Channel: "current", Number: 2, Factor: 1},
			}}
		}
		return s
	}
	return nil
}

// wholeLines are the lines whose beginning and end were heard.
func wholeLines(heard []byte) (lines [][]byte) {
	all := bytes.FieldsFunc(heard, func(c rune) bool { return c == '\r' || c == '\n' })
	if len(all) < 3 {
		return nil
	}
	return all[1 : len(all)-1]
}

// columnsOf returns what each column showed; nil where lines are not numbers that are
// parted so, as many in each.
func columnsOf(lines [][]byte, separator, point byte) (ranges []Range) {
	for k, line := range lines {
		fields := fieldsOf(line, separator)
		if k > 0 && len(fields) != len(ranges) {
			return nil
		}
		for n, field := range fields {
			x, ok := numberIn(field, point)
			if !ok {
				return nil
			}
			if k == 0 {
				ranges = append(ranges, Range{x, x})
				continue
			}
			ranges[n] = Range{min(ranges[n].Low, x), max(ranges[n].High, x)}
		}
	}
	return ranges
}

func fieldsOf(line []byte, separator byte) [][]byte {
	if separator == ' ' {
		return bytes.Fields(line)
	}
	return bytes.Split(line, []byte{separator})
}

// numberIn reads a number; an empty column of a meter is none here, so that it is not
// taken for one by its commas alone.
func numberIn(field []byte, point byte) (float64, bool) {
	text := bytes.TrimSpace(field)
	if point != '.' {
		if bytes.IndexByte(text, '.') >= 0 {
			return 0, false
		}
		text = bytes.ReplaceAll(text, []byte{point}, []byte{'.'})
	}
	for _, c := range text {
		if (c < '0' || c > '9') && !bytes.ContainsRune([]byte("+-.eE"), rune(c)) {
			return 0, false
		}
	}
	x, err := strconv.ParseFloat(string(text), 64)
	return x, err == nil && !math.IsInf(x, 0)
}
