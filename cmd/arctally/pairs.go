package main

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"arctally/acquire/quantity"
	"arctally/cmd/internal/explain"
)

// lineInput is what stood on the line as key=value. It keeps the first thing
// that cannot be read.
type lineInput struct {
	command string
	values  map[string]string
	lists   map[string][]string // of keys that may stand again and again
	wrong   error
}

// lineKeys are the keys that a command takes on the line for one subject.
type lineKeys struct {
	command, subject string
	needs, takes     []string
	many             []string // may stand again and again
	common           []string // taken by every subject, and shown elsewhere
}

// read takes pairs: each key once where it may not stand again, none that it does
// not know, none missing that it needs.
func (k lineKeys) read(pairs []string) (*lineInput, error) {
	in := &lineInput{command: k.command, values: map[string]string{}, lists: map[string][]string{}}
	misuse := func(format string, arg ...any) error {
		return &explain.MisuseError{Command: k.command, Text: fmt.Sprintf(format, arg...)}
	}
	for _, pair := range pairs {
		key, value, ok := strings.Cut(pair, "=")
		value = strings.TrimSpace(value)
		switch {
		case !ok:
			return nil, misuse("%q is not key=value; %s takes %s", pair, k.subject, k.usage())
		case !k.knows(key):
			return nil, misuse("%s has no key %q; it takes %s", k.subject, key, k.usage())
		case in.values[key] != "":
			return nil, misuse("%s stands twice", key)
		case value == "":
			return nil, misuse("%s has no value", key)
		case slices.Contains(k.many, key):
			in.lists[key] = append(in.lists[key], value)
		default:
			in.values[key] = value
		}
	}
	for _, key := range k.needs {
		if in.values[key] == "" {
			return nil, misuse("%s needs %s=; it takes %s", k.subject, key, k.usage())
		}
	}
	return in, nil
}

func (k lineKeys) knows(key string) bool {
	return slices.ContainsFunc([][]string{k.needs, k.takes, k.many, k.common}, func(keys []string) bool { return slices.Contains(keys, key) })
}

// usage shows the keys as they are written; those that may be left out in
// brackets, those that may stand again with dots.
func (k lineKeys) usage() string {
	var words []string
	for _, key := range k.needs {
		words = append(words, key+"=")
	}
	for _, key := range k.takes {
		words = append(words, "["+key+"=]")
	}
	for _, key := range k.many {
		words = append(words, "["+key+"=...]")
	}
	return strings.Join(words, " ")
}

func (in *lineInput) text(key string) string { return in.values[key] }

func (in *lineInput) has(key string) bool { return in.values[key] != "" }

// fail keeps the first error.
func (in *lineInput) fail(key string, err error) {
	if err != nil && in.wrong == nil {
		in.wrong = &explain.MisuseError{Command: in.command, Text: fmt.Sprintf("%s: %v", key, err)}
	}
}

// list reads quantities that are parted by commas, each with its unit; nil
// where there are none.
func (in *lineInput) list(key string, read func(text string) (float64, error)) []float64 {
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
func (in *lineInput) one(key string, read func(text string) (float64, error), otherwise float64) float64 {
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

// number reads a number from 1 on, 0 where there is none.
func (in *lineInput) number(key string) int {
	if !in.has(key) {
		return 0
	}
	n, err := strconv.Atoi(in.text(key))
	if err != nil || n < 1 {
		in.fail(key, fmt.Errorf("%q is no number from 1 on", in.text(key)))
	}
	return n
}
