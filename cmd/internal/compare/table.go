//go:build linux

package main

import (
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"slices"
	"strings"
	"text/tabwriter"
)

// row is one line of the table: what is measured, what it is to be, and what it was found to
// be on each side.
type row struct {
	Part   string   `json:"part"`
	What   string   `json:"what"`
	Unit   string   `json:"unit"`
	Goal   string   `json:"goal,omitempty"`
	Before *measure `json:"before,omitempty"` // nil was not measured
	After  *measure `json:"after,omitempty"`
}

// measure is what repeated measurements came to.
type measure struct {
	All    []float64 `json:"all"`
	Median float64   `json:"median"`
}

func (m *measure) add(value float64) {
	m.All = append(m.All, value)
	sorted := slices.Sorted(slices.Values(m.All))
	m.Median = (sorted[(len(sorted)-1)/2] + sorted[len(sorted)/2]) / 2
}

// String is the median, and between what all were where they are several.
func (m *measure) String() string {
	if m == nil {
		return "-"
	}
	low, high := slices.Min(m.All), slices.Max(m.All)
	if text := figure(m.Median); low == high {
		return text
	}
	return fmt.Sprintf("%s (%s..%s)", figure(m.Median), figure(low), figure(high))
}

// figure has three digits that say something.
func figure(value float64) string {
	if value == 0 {
		return "0"
	}
	digits := 2 - int(math.Floor(math.Log10(math.Abs(value))))
	return fmt.Sprintf("%.*f", min(max(digits, 0), 4), value)
}

// table is all rows in the order in which they were first measured.
type table struct{ rows []*row }

// row is the one that measures something, a new one where there is none.
func (t *table) row(part, what, unit, goal string) *row {
	for _, r := range t.rows {
		if r.Part == part && r.What == what {
			return r
		}
	}
	r := &row{Part: part, What: what, Unit: unit, Goal: goal}
	t.rows = append(t.rows, r)
	return r
}

// of adds what was measured of a side.
func (r *row) of(s *side, value float64) {
	m := &r.After
	if s.name == "before" {
		m = &r.Before
	}
	if *m == nil {
		*m = new(measure)
	}
	(*m).add(value)
	fmt.Fprintf(os.Stderr, "%s: %s: %s: %s %s\n", s.name, r.Part, r.What, figure(value), r.Unit)
}

// change is after over before.
func (r *row) change() string {
	if r.Before == nil || r.After == nil || r.Before.Median == 0 {
		return "-"
	}
	return fmt.Sprintf("%.2f", r.After.Median/r.Before.Median)
}

func (t *table) print(to io.Writer) error {
	var lines strings.Builder
	part := ""
	for _, r := range t.rows {
		if r.Part != part {
			part = r.Part
			lines.WriteString("\n" + part + "\tunit\tgoal\tbefore\tafter\tafter/before\n")
		}
		lines.WriteString(strings.Join([]string{"  " + r.What, r.Unit, r.Goal, r.Before.String(), r.After.String(), r.change()}, "\t") + "\n")
	}
	w := tabwriter.NewWriter(to, 0, 0, 2, ' ', 0)
	_, err := io.WriteString(w, lines.String())
	return errors.Join(err, w.Flush())
}
