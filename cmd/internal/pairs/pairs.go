// Package pairs reads what is typed as key=value, and takes what a page filled in
// for the same.
//
// Errors: a *explain.MisuseError that says which keys there are.
package pairs

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"arctally/acquire/quantity"
	"arctally/cmd/internal/explain"
)

// Input is what stood on the line as key=value. It keeps the first thing
// that cannot be read.
type Input struct {
	Command string
	Values  map[string]string
	Lists   map[string][]string // of keys that may stand again and again
	Wrong   error
}

// Keys are the keys that a command takes on the line for one subject.
type Keys struct {
	Command, Subject string
	Needs, Takes     []string
	Many             []string // may stand again and again
	Common           []string // taken by every subject, and shown elsewhere
}

// Read takes pairs: each key once where it may not stand again, none that it does
// not know, none missing that it needs.
func (k Keys) Read(pairs []string) (*Input, error) {
	in := &Input{Command: k.Command, Values: map[string]string{}, Lists: map[string][]string{}}
	misuse := func(format string, arg ...any) error {
		return &explain.MisuseError{Command: k.Command, Text: fmt.Sprintf(format, arg...)}
	}
	for _, pair := range pairs {
		key, value, ok := strings.Cut(pair, "=")
		value = strings.TrimSpace(value)
		switch {
		case !ok:
			return nil, misuse("%q is not key=value; %s takes %s", pair, k.Subject, k.Usage())
		case !k.knows(key):
			return nil, misuse("%s has no key %q; it takes %s", k.Subject, key, k.Usage())
		case in.Values[key] != "":
			return nil, misuse("%s stands twice", key)
		case value == "":
			return nil, misuse("%s has no value", key)
		case slices.Contains(k.Many, key):
			in.Lists[key] = append(in.Lists[key], value)
		default:
			in.Values[key] = value
		}
	}
	for _, key := range k.Needs {
		if in.Values[key] == "" {
			return nil, misuse("%s needs %s=; it takes %s", k.Subject, key, k.Usage())
		}
	}
	return in, nil
}

func (k Keys) knows(key string) bool {
	return slices.ContainsFunc([][]string{k.Needs, k.Takes, k.Many, k.Common}, func(keys []string) bool { return slices.Contains(keys, key) })
}

// Usage shows the keys as they are written; those that may be left out in
// brackets, those that may stand again with dots.
func (k Keys) Usage() string {
	var words []string
	for _, key := range k.Needs {
		words = append(words, key+"=")
	}
	for _, key := range k.Takes {
		words = append(words, "["+key+"=]")
	}
	for _, key := range k.Many {
		words = append(words, "["+key+"=...]")
	}
	return strings.Join(words, " ")
}

// Text is what was given for a key, nothing where it was left out.
func (in *Input) Text(key string) string { return in.Values[key] }

// Has tells whether a key was given.
func (in *Input) Has(key string) bool { return in.Values[key] != "" }

// Fail keeps the first error.
func (in *Input) Fail(key string, err error) {
	if err != nil && in.Wrong == nil {
		in.Wrong = &explain.MisuseError{Command: in.Command, Text: fmt.Sprintf("%s: %v", key, err)}
	}
}

// List reads quantities that are parted by commas, each with its unit; nil
// where there are none.
func (in *Input) List(key string, read func(text string) (float64, error)) []float64 {
	if !in.Has(key) {
		return nil
	}
	var values []float64
	for part := range strings.SplitSeq(in.Text(key), ",") {
		value, err := read(strings.TrimSpace(part))
		in.Fail(key, err)
		values = append(values, value)
	}
	return values
}

// One reads a quantity above zero, or takes what stands for it.
func (in *Input) One(key string, read func(text string) (float64, error), otherwise float64) float64 {
	if !in.Has(key) {
		return otherwise
	}
	value, err := read(in.Text(key))
	if err == nil && value <= 0 {
		err = fmt.Errorf("%q: it must be above zero", in.Text(key))
	}
	in.Fail(key, err)
	return value
}

// ReadIn returns how a quantity is read as a number in a unit.
func ReadIn[Q quantity.Quantity](unit string) func(text string) (float64, error) {
	return func(text string) (float64, error) {
		q, err := quantity.Parse[Q](text)
		if err != nil {
			return 0, err
		}
		return quantity.In(q, unit), nil
	}
}

// Number reads a number from 1 on, 0 where there is none.
func (in *Input) Number(key string) int {
	if !in.Has(key) {
		return 0
	}
	n, err := strconv.Atoi(in.Text(key))
	if err != nil || n < 1 {
		in.Fail(key, fmt.Errorf("%q is no number from 1 on", in.Text(key)))
	}
	return n
}
