package main

import (
	"fmt"
	"slices"
	"strings"

	"arctally/acquire/quantity"
)

// checkInput is what stood on the line as key=value. It keeps the first thing
// that cannot be read.
type checkInput struct {
	values map[string]string
	wrong  error
}

// checkKeys are taken by every check.
var checkKeys = []string{"by", "instrument", "certificate", "due", "done"}

func checkMisuse(format string, arg ...any) *usageError {
	return &usageError{command: "check", text: fmt.Sprintf(format, arg...)}
}

// read takes the pairs of a check: each key once, none that it does not know,
// none missing that it needs.
func (k checkKind) read(pairs []string) (*checkInput, error) {
	in := &checkInput{values: map[string]string{}}
	for _, pair := range pairs {
		key, value, ok := strings.Cut(pair, "=")
		switch {
		case !ok:
			return nil, checkMisuse("%q is not key=value; %s takes %s", pair, k.subject, k.usage())
		case !slices.Contains(k.needs, key) && !slices.Contains(k.takes, key) && !slices.Contains(checkKeys, key):
			return nil, checkMisuse("%s has no key %q; it takes %s", k.subject, key, k.usage())
		case in.values[key] != "":
			return nil, checkMisuse("%s stands twice", key)
		case strings.TrimSpace(value) == "":
			return nil, checkMisuse("%s has no value", key)
		}
		in.values[key] = strings.TrimSpace(value)
	}
	for _, key := range k.needs {
		if in.values[key] == "" {
			return nil, checkMisuse("%s needs %s=; it takes %s", k.subject, key, k.usage())
		}
	}
	return in, nil
}

// usage shows the keys as they are written; those that may be left out in brackets.
func (k checkKind) usage() string {
	var words []string
	for _, key := range k.needs {
		words = append(words, key+"=")
	}
	for _, key := range k.takes {
		words = append(words, "["+key+"=]")
	}
	return strings.Join(words, " ")
}

func (in *checkInput) text(key string) string { return in.values[key] }

func (in *checkInput) has(key string) bool { return in.values[key] != "" }

// fail keeps the first error.
func (in *checkInput) fail(key string, err error) {
	if err != nil && in.wrong == nil {
		in.wrong = checkMisuse("%s: %v", key, err)
	}
}

// list reads quantities that are parted by commas, each with its unit; nil
// where there are none.
func (in *checkInput) list(key string, read func(text string) (float64, error)) []float64 {
	if !in.has(key) {
		return nil
	}
	var values []float64
	for part := range strings.SplitSeq(in.text(key), ",") {
		value, err := read(strings.TrimSpace(part))
		in.fail(key, err)
		values = append(values, value)
	}
	return values
}

// one reads a quantity above zero, or takes what stands for it.
func (in *checkInput) one(key string, read func(text string) (float64, error), otherwise float64) float64 {
	if !in.has(key) {
		return otherwise
	}
	value, err := read(in.text(key))
	if err == nil && value <= 0 {
		err = fmt.Errorf("%q: it must be above zero", in.text(key))
	}
	in.fail(key, err)
	return value
}

// readIn returns how a quantity is read as a number in a unit.
func readIn[Q quantity.Quantity](unit string) func(text string) (float64, error) {
	return func(text string) (float64, error) {
		q, err := quantity.Parse[Q](text)
		if err != nil {
			return 0, err
		}
		return quantity.In(q, unit), nil
	}
}
