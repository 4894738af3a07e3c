package capture

import (
	"fmt"
	"slices"
	"strings"
)

// heading is a header taken apart: "/arc/current [A]" is current, of arc, in a.
type heading struct {
	whole string // all of its name, in normal form
	last  string // the last part of a path, in normal form; the same where there is none
	unit  string
}

// normal takes a header apart. A unit stands in brackets, or after the one stroke of
// "U/V"; all other strokes and full stops part a path.
func normal(header []byte) heading {
	text, unit := strings.ToLower(string(trim(header))), ""
	if i := strings.IndexAny(text, "(["); i > 0 {
		text, unit = text[:i], strings.Trim(text[i:], "()[] ")
	} else if name, after, found := strings.Cut(text, "/"); found && name != "" && isUnit(strings.TrimSpace(after)) {
		text, unit = name, strings.TrimSpace(after)
	}
	parts := strings.FieldsFunc(text, func(c rune) bool { return c == '/' || c == '.' })
	for k := range parts {
		parts[k] = underscored(parts[k])
	}
	if len(parts) == 0 {
		return heading{unit: unit}
	}
	return heading{strings.Join(parts, "_"), parts[len(parts)-1], unit}
}

func underscored(text string) string {
	return strings.NewReplacer(" ", "_", "-", "_").Replace(strings.TrimSpace(text))
}

// isUnit reports whether any quantity has such a unit.
func isUnit(text string) bool {
	for _, ro := range []role{timeRole, voltageRole, currentRole, speedRole, lengthRole, turnsRole, travelRole} {
		if _, known := ro.units[text]; known {
			return true
		}
	}
	return false
}

// called returns the unit that a name has as the role: time_s is the time in s.
func (ro role) called(name, unit string) (in string, is bool) {
	if slices.Contains(ro.names, name) {
		return unit, true
	}
	for u := range ro.units {
		for _, per := range []string{"_", "_per_"} {
			before, has := strings.CutSuffix(name, "_"+strings.ReplaceAll(u, "/", per))
			if has && unit == "" && slices.Contains(ro.names, before) {
				return u, true
			}
		}
	}
	return "", false
}

// look finds the one column of a header that can only be the role. It returns
// no column and no error where there is none, and an error that says why where
// there is a doubt. A whole name comes before the last part of a path.
func (ro role) look(header [][]byte) (column, error) {
	c, err := ro.lookBy(header, func(h heading) string { return h.whole })
	if err != nil || c.given() {
		return c, err
	}
	return ro.lookBy(header, func(h heading) string { return h.last })
}

func (ro role) lookBy(header [][]byte, name func(heading) string) (column, error) {
	var c column
	for i, text := range header {
		h := normal(text)
		unit, is := ro.called(name(h), h.unit)
		if !is {
			continue
		}
		if c.given() {
			return column{}, fmt.Errorf("columns %d (%s) and %d (%s) may both be the %s",
				c.at[0]+1, trim(header[c.at[0]]), i+1, trim(text), ro.word)
		}
		factor, known := ro.units[unit]
		if unit == "" && ro.bare {
			factor, known = one, true
		}
		if !known {
			return column{}, fmt.Errorf("column %d (%s) may be the %s, but its unit is not known: give %s %d*FACTOR",
				i+1, trim(text), ro.word, ro.flag, i+1)
		}
		c = column{[]int{i}, factor}
	}
	return c, nil
}
