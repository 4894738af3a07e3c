package form

import (
	"strings"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
)

// text is a field of words.
func text(key, label, help string) Field {
	return Field{Key: key, Label: label, Kind: Text, Help: help}
}

// number is a field of a figure without a unit.
func number(key, label, help string) Field {
	return Field{Key: key, Label: label, Kind: Number, Help: help}
}

// choice is a field of one word of a few.
func choice(key, label, help string, choices ...string) Field {
	return Field{Key: key, Label: label, Kind: Choice, Choices: choices, Help: help}
}

// amount is a field of a figure with its unit. The first unit is proposed, and us
// to those who work in US units; all others in which the quantity may be written
// can be chosen.
func amount[Q quantity.Quantity](key, label, first, us, help string) Field {
	units := []string{first}
	for _, unit := range quantity.Units[Q]() {
		if unit != first {
			units = append(units, unit)
		}
	}
	return Field{Key: key, Label: label, Kind: Quantity, Units: units, US: us, Help: help}
}

// limits is a field of a window.
func limits[Q quantity.Quantity](key, label, first, us, help string) Field {
	f := amount[Q](key, label, first, us, help)
	f.Kind = Range
	return f
}

// percentage is a field of a share that must be written in %.
func percentage(key, label, help string) Field {
	return Field{Key: key, Label: label, Kind: Quantity, Units: []string{"%"}, US: "%", Help: help}
}

// required marks a field that no file goes without.
func (f Field) required() Field {
	f.Required = true
	return f
}

// unlessStraight marks a field that no round bead goes without.
func (f Field) unlessStraight() Field {
	f.Unless = string(bore.Straight)
	return f
}

// only marks a field that a sensor has with these links alone.
func (f Field) only(links ...string) Field {
	f.Only = links
	return f
}

// saying gives words of the trade to choices, one after another.
func (f Field) saying(words ...string) Field {
	f.Words = map[string]string{}
	for k, choice := range f.Choices {
		f.Words[choice] = words[k]
	}
	return f
}

// otherwise says what holds where the field is left empty.
func (f Field) otherwise(value string) Field {
	f.Default = value
	return f
}

// fieldOf returns the field of a key; numbers of repeated parts stand for any.
func (f Form) fieldOf(key string) (Field, bool) {
	for _, group := range f.Groups {
		for _, field := range group.Fields {
			if group.matches(field.Key, key) {
				return field, true
			}
		}
	}
	return Field{}, false
}

// matches tells whether a key is that of a field. Fields of a repeated group are
// named without prefix and number.
func (g Group) matches(field, key string) bool {
	if g.Repeated == "" {
		return field == key
	}
	rest, ok := strings.CutPrefix(key, g.Repeated+".")
	index, name, _ := strings.Cut(rest, ".")
	_, counted := indexOf(index)
	return ok && counted && name == field
}

// path is a key in its parts.
func path(key string) []string { return strings.Split(key, ".") }
