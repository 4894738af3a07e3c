package bench

import (
	"fmt"
	"strings"

	"arctally/acquire/quantity"
	"arctally/analyze/thermal"
	"arctally/cmd/internal/explain"
)

// input is what stood on the line as key=value. It keeps the first thing that
// cannot be read, so that a formula takes all its inputs in one go.
type input struct {
	formula string
	values  map[string]string
	wrong   error
}

// outOfRange is an input that a formula was not made for.
func outOfRange(key, value, want string) error {
	return &explain.Error{Kind: explain.Unfit, Text: fmt.Sprintf("%s: %s is out of range: it must be %s", key, value, want), Next: new(thermal.RangeError).Hint()}
}

// read takes the key=value pairs of a formula: each key once, none that it does
// not know, none missing that it needs.
func (f Formula) read(pairs []string) (*input, error) {
	in := &input{formula: f.Name, values: map[string]string{}}
	for _, pair := range pairs {
		key, value, ok := strings.Cut(pair, "=")
		switch {
		case !ok:
			return nil, misuse("%q is not key=value; %s takes %s", pair, f.Name, f.keyList())
		case !f.knows(key):
			return nil, misuse("%s has no key %q; it takes %s", f.Name, key, f.keyList())
		case in.has(key):
			return nil, misuse("%s stands twice", key)
		}
		in.values[key] = value
	}
	var missing []string
	for _, key := range f.keys {
		if !key.optional && !in.has(key.name) {
			missing = append(missing, key.name+"=")
		}
	}
	if len(missing) > 0 {
		return nil, misuse("%s needs %s; it takes %s", f.Name, strings.Join(missing, " "), f.keyList())
	}
	return in, nil
}

func (f Formula) knows(key string) bool {
	for _, k := range f.keys {
		if k.name == key {
			return true
		}
	}
	return false
}

// keyList shows the keys as they are written; optional ones in brackets.
func (f Formula) keyList() string {
	words := make([]string, len(f.keys))
	for i, k := range f.keys {
		words[i] = k.name + "="
		if k.optional {
			words[i] = "[" + words[i] + "]"
		}
	}
	return strings.Join(words, " ")
}

func (in *input) has(key string) bool {
	_, ok := in.values[key]
	return ok
}

// fail keeps the first error.
func (in *input) fail(err error) {
	if in.wrong == nil {
		in.wrong = err
	}
}

// readQuantity takes an input with its unit, 0 where it cannot be read.
func readQuantity[Q quantity.Quantity](in *input, key string) Q {
	q, err := quantity.Parse[Q](in.values[key])
	if err != nil {
		in.fail(misuse("%s: %s %v", in.formula, key, err))
	}
	return q
}

// readPositive takes an input that must be above zero.
func readPositive[Q quantity.Quantity](in *input, key string) Q {
	q := readQuantity[Q](in, key)
	if in.wrong == nil && q <= 0 {
		in.fail(outOfRange(key, in.values[key], "above 0"))
	}
	return q
}

// readShare takes an efficiency: above 0 and at most 1, or what stands in for it.
func readShare(in *input, key string, otherwise quantity.Ratio) quantity.Ratio {
	if !in.has(key) {
		return otherwise
	}
	q := readPositive[quantity.Ratio](in, key)
	if in.wrong == nil && q > 1 {
		in.fail(outOfRange(key, in.values[key], "above 0, at most 1 (100 %)"))
	}
	return q
}

// readMassPercent takes a share of the mass in %, the unit of every mill sheet:
// the sign may be left out.
func readMassPercent(in *input, key string) float64 {
	digits := strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(in.values[key]), "%"))
	share, err := quantity.Parse[quantity.Ratio](digits)
	if err != nil || strings.HasSuffix(digits, "%") {
		in.fail(misuse("%s: %s %q: write a number, in mass %%", in.formula, key, in.values[key]))
		return 0
	}
	return float64(share)
}

// bothUnits prints a quantity in metric and in US units.
func bothUnits[Q quantity.Quantity](q Q, metric string, metricDecimals int, us string, usDecimals int) string {
	return quantity.Text(q, metric, metricDecimals) + " (" + quantity.Text(q, us, usDecimals) + ")"
}
