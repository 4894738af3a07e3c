package main

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"math"
	"slices"
	"strings"
	"text/tabwriter"

	"arctally/cmd/internal/explain"
)

func calcCommand() command {
	var examples []string
	for _, f := range benchFormulas() {
		examples = append(examples, "arctally calc "+f.name+" "+f.example)
	}
	return command{
		name:     "calc",
		operands: "QUANTITY [key=value...]",
		summary:  "computes one formula at the bench, with its source",
		example:  strings.Join(examples, "\n  "),
		setUp:    calcAction,
	}
}

func calcAction(flags *flag.FlagSet) action {
	asJSON := flags.Bool("json", false, "write JSON for programs, in full precision")
	return func(_ context.Context, screen *screen, operands []string) error {
		f, answer, err := calculate(operands)
		if err != nil {
			return err
		}
		if *asJSON {
			text, err := answer.json(f)
			if err != nil {
				return err
			}
			return screen.print(text)
		}
		return screen.print(answer.text(f))
	}
}

// benchFormula is one quantity that calc computes.
type benchFormula struct {
	name     string
	keys     []benchKey
	example  string
	formula  []string // as people write it
	source   string
	standing string
	compute  func(*benchInput) (*benchAnswer, error)
}

// benchKey is one input: KEY=VALUE.
type benchKey struct {
	name     string
	optional bool
}

// benchFormulas lists the quantities, in the order of a job.
func benchFormulas() []benchFormula {
	return []benchFormula{
		heatInputFormula(), depositFormula(), boreFormula(),
		carbonFormula(), preheatFormula(), coolingFormula(),
	}
}

// calculate finds the quantity, reads its inputs and computes it.
func calculate(operands []string) (benchFormula, *benchAnswer, error) {
	known := benchFormulas()
	k := slices.IndexFunc(known, func(f benchFormula) bool { return f.name == operands[0] })
	if k < 0 {
		return benchFormula{}, nil, calcUsage("there is no quantity %q; write %s", operands[0], formulaNames(known))
	}
	f := known[k]
	input, err := f.read(operands[1:])
	if err != nil {
		return f, nil, err
	}
	answer, err := f.compute(input)
	if input.wrong != nil {
		return f, nil, input.wrong
	}
	if err == nil {
		err = answer.check()
	}
	return f, answer, err
}

func formulaNames(all []benchFormula) string {
	names := make([]string, len(all))
	for i, f := range all {
		names[i] = f.name
	}
	return strings.Join(names, ", ")
}

func calcUsage(format string, args ...any) error {
	return &explain.MisuseError{Command: "calc", Text: fmt.Sprintf(format, args...)}
}

// benchFigure is one result: a value for programs, and the words for people.
type benchFigure struct {
	key   string // in JSON
	value any    // float64 or string
	label string // "" is not shown
	text  string
}

// benchAnswer is what a formula gives.
type benchAnswer struct {
	figures  []benchFigure
	warnings []string
}

func (a *benchAnswer) add(key string, value any, label, text string) {
	a.figures = append(a.figures, benchFigure{key, value, label, text})
}

// check refuses what is no number: inputs may each be in range, and their product not.
func (a *benchAnswer) check() error {
	for _, f := range a.figures {
		if v, ok := f.value.(float64); ok && (math.IsInf(v, 0) || math.IsNaN(v)) {
			return outOfRange(f.key, "the result", "a number; the inputs are too far apart")
		}
	}
	return nil
}

// json is one object with the figures in their order.
func (a *benchAnswer) json(f benchFormula) (string, error) {
	var b bytes.Buffer
	b.WriteString("{\n")
	for _, one := range slices.Concat(a.figures, []benchFigure{
		{key: "source", value: f.source},
		{key: "standing", value: f.standing},
		{key: "warnings", value: append([]string{}, a.warnings...)},
	}) {
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

// text is the answer as a person reads it, with its source.
func (a *benchAnswer) text(f benchFormula) string {
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
	for _, formula := range f.formula {
		line("formula", formula)
	}
	line("source", f.source)
	line("standing", f.standing)
	for _, warning := range a.warnings {
		line("warning", warning)
	}
	_ = table.Flush()
	b.WriteString("guidance; the qualified procedure rules\n")
	return b.String()
}
