package capture

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"
)

// column is where a quantity stands in a row, counted from 0, and what one unit
// of the number written there is worth.
type column struct {
	at     []int // more than one: joined by a space, for a date and a time
	factor number
}

var one = number{mantissa: 1}

func (c column) given() bool { return len(c.at) > 0 }

// reference is a column as the options name it, not yet looked up.
type reference struct {
	flag string // --voltage ...
	text string
}

// splitFactor takes a trailing *FACTOR off.
func (r reference) splitFactor() (string, number, error) {
	i := strings.LastIndexByte(r.text, '*')
	if i < 0 {
		return strings.TrimSpace(r.text), one, nil
	}
	f, ok := parseNumber([]byte(strings.TrimSpace(r.text[i+1:])), '.')
	if !ok || f.mantissa == 0 {
		return "", one, fmt.Errorf("%s %q: the factor %q is not a number other than zero", r.flag, r.text, r.text[i+1:])
	}
	return strings.TrimSpace(r.text[:i]), f, nil
}

// names reports whether the reference needs a header to be understood.
func (r reference) names() bool {
	body, _, err := r.splitFactor()
	if err != nil {
		return true
	}
	for part := range strings.SplitSeq(body, "+") {
		if _, err := strconv.Atoi(strings.TrimSpace(part)); err != nil {
			return true
		}
	}
	return false
}

// resolve looks the columns up in a header (nil where there is none) of so
// many columns.
func (r reference) resolve(header [][]byte, columns int) (column, error) {
	// A name may itself contain a star or a plus.
	if at := find(header, r.text); at >= 0 {
		return column{[]int{at}, one}, nil
	}
	body, factor, err := r.splitFactor()
	if err != nil {
		return column{}, err
	}
	if at := find(header, body); at >= 0 {
		return column{[]int{at}, factor}, nil
	}
	c := column{factor: factor}
	for part := range strings.SplitSeq(body, "+") {
		at, err := r.lookUp(strings.TrimSpace(part), header, columns)
		if err != nil {
			return column{}, err
		}
		c.at = append(c.at, at)
	}
	return c, nil
}

func (r reference) lookUp(part string, header [][]byte, columns int) (int, error) {
	if at := find(header, part); at >= 0 {
		return at, nil
	}
	n, err := strconv.Atoi(part)
	if err != nil {
		return 0, fmt.Errorf("%s: no column, or more than one, is named %q", r.flag, part)
	}
	if n < 1 || n > columns {
		return 0, fmt.Errorf("%s: there is no column %d, the rows have %d", r.flag, n, columns)
	}
	return n - 1, nil
}

// find returns the column of that name; letter case matters only where two
// names differ in nothing else. It returns -1 where there is none or no one.
func find(header [][]byte, name string) int {
	exact, folded := -1, -1
	exactly, alike := 0, 0
	for i, h := range header {
		h = trim(h)
		if string(h) == name {
			exact, exactly = i, exactly+1
		}
		if len(h) > 0 && bytes.EqualFold(h, []byte(name)) {
			folded, alike = i, alike+1
		}
	}
	switch {
	case exactly == 1:
		return exact
	case exactly == 0 && alike == 1:
		return folded
	}
	return -1
}
