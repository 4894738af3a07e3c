// Package pairs reads what is typed as key=value, and takes what a page filled in
// for the same. It holds every quantity against what is usual of it.
//
// Terms. A value outside of what is usual is doubted; who means it says it again:
// sure="reading 900 V".
//
// Errors: a *explain.MisuseError that says which keys there are, a
// *plausible.UnsureError of what is doubted.
package pairs

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"arctally/acquire/quantity"
	"arctally/analyze/plausible"
	"arctally/cmd/internal/explain"
)

// Input is what stood on the line as key=value. It keeps the first thing
// that cannot be read.
type Input struct {
	Command string
	Subject string // what the bands of its keys are named after
	Of      string // a part of the subject with bands of its own, such as a channel
	Values  map[string]string
	Lists   map[string][]string // of keys that may stand again and again
	Wrong   error

	doubts []*plausible.Doubt
	typed  []string // all quantities
}

// Sure is the key under which a doubted value is said again.
const Sure = "sure"

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
	in := &Input{Command: k.Command, Subject: k.Subject, Values: map[string]string{}, Lists: map[string][]string{}}
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
		case key == Sure || slices.Contains(k.Many, key):
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
	return key == Sure || slices.ContainsFunc([][]string{k.Needs, k.Takes, k.Many, k.Common}, func(keys []string) bool { return slices.Contains(keys, key) })
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

// HasMany tells whether a key that may stand again was given.
func (in *Input) HasMany(key string) bool { return len(in.Lists[key]) > 0 }

// Has tells whether a key was given.
func (in *Input) Has(key string) bool { return in.Values[key] != "" }

// Fail keeps the first error.
func (in *Input) Fail(key string, err error) {
	if err != nil && in.Wrong == nil {
		in.Wrong = &explain.MisuseError{Command: in.Command, Text: fmt.Sprintf("%s: %v", key, err)}
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

// Doubt adds a doubt about what was typed, or about what it comes to; nil is none. The
// same value of the same field is asked about once.
func (in *Input) Doubt(d *plausible.Doubt) {
	if d != nil && !slices.ContainsFunc(in.doubts, func(other *plausible.Doubt) bool { return other.Sure() == d.Sure() }) {
		in.doubts = append(in.doubts, d)
	}
}

// Ready tells what stands against going on: what cannot be read, and what is doubted
// and not said again. What else is said again may yet be needed.
func (in *Input) Ready() error {
	_, err := in.Settle()
	if _, idle := errors.AsType[*plausible.IdleError](err); idle {
		return nil
	}
	return err
}

// Settle is Ready for the last time: kept is what was said again on purpose, and what is
// said again for nothing is an error.
func (in *Input) Settle() (kept []*plausible.Doubt, err error) {
	if in.Wrong == nil {
		in.Fail("the figures", quantity.Alike(in.typed...))
	}
	if in.Wrong != nil {
		return nil, in.Wrong
	}
	return plausible.Settle(in.doubts, in.Lists[Sure], func(d *plausible.Doubt) string { return fmt.Sprintf("%s=%q", Sure, d.Sure()) })
}
