// Package formula computes one formula at a time from what a person types in, with
// its source: what to set before a job, and what to make of a figure after it.
//
// Errors: a *explain.MisuseError for what is typed wrong; an input for which a formula
// was not made is out of range.
package formula

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"text/tabwriter"

	"arctally/acquire/quantity"
	"arctally/cmd/internal/explain"
)

// Formula is one quantity that calc computes.
type Formula struct {
	Name     string
	keys     []inputKey
	ways     []string // sets of keys that go together, where not all do
	Example  string
	formula  []string // as people write it
	source   string
	standing string
	compute  func(*input) (*Answer, error)
}

// inputKey is one input: KEY=VALUE.
type inputKey struct {
	name     string
	optional bool
}

func misuse(format string, args ...any) error {
	return &explain.MisuseError{Command: "calc", Text: fmt.Sprintf(format, args...)}
}

// figure is one result: a value for programs, and the words for people.
type figure struct {
	key   string // in JSON
	value any    // float64 or string
	label string // "" is not shown
	text  string
}

// Answer is what a formula gives.
type Answer struct {
	of       Formula
	figures  []figure
	warnings []string
}

func (a *Answer) add(key string, value any, label, text string) {
	a.figures = append(a.figures, figure{key, value, label, text})
}

// check refuses what is no number: inputs may each be in range, and their product not.
func (a *Answer) check() error {
	for _, f := range a.figures {
		if v, ok := f.value.(float64); ok && (math.IsInf(v, 0) || math.IsNaN(v)) {
			return outOfRange(f.key, "the result", "a number; the inputs are too far apart")
		}
	}
	return nil
}

// JSON is one object with the figures in their order.
func (a *Answer) JSON() (string, error) {
	var b bytes.Buffer
	b.WriteString("{\n")
	for _, one := range slices.Concat(a.figures, []figure{
		{key: "source", value: a.of.source},
		{key: "standing", value: a.of.standing},
		{key: "warnings", value: append([]string{}, a.warnings...)},
	}) {
		if number, ok := one.value.(float64); ok {
			one.value = quantity.Clean(number)
		}
		value, err := json.Marshal(one.value)
		if err != nil {
			return "", fmt.Errorf("write JSON: %w", err)
		}
		fmt.Fprintf(&b, "  %q: %s,\n", one.key, value)
	}
	b.Truncate(b.Len() - len(",\n"))
	b.WriteString("\n}\n")
	return b.String(), nil
}

// Text is the answer as a person reads it, with its source.
func (a *Answer) Text() string {
	var b bytes.Buffer
	table := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
	line := func(label, text string) {
		_, _ = fmt.Fprintf(table, "%s\t%s\n", label, text) // a buffer takes everything
	}
	for _, one := range a.figures {
		if one.label != "" {
			line(one.label, one.text)
		}
	}
	for _, formula := range a.of.formula {
		line("formula", formula)
	}
	line("source", a.of.source)
	line("standing", a.of.standing)
	for _, warning := range a.warnings {
		line("warning", warning)
	}
	_ = table.Flush()
	b.WriteString("guidance; the qualified procedure rules\n")
	return b.String()
}
