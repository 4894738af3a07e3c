package bench

import (
	"slices"
	"strings"
)

// Formulas lists the quantities, in the order of a job.
func Formulas() []Formula {
	return []Formula{
		heatInputFormula(), depositFormula(), boreFormula(),
		carbonFormula(), preheatFormula(), coolingFormula(),
	}
}

// Calculate finds the quantity, reads its inputs and computes it.
func Calculate(operands []string) (*Answer, error) {
	known := Formulas()
	k := slices.IndexFunc(known, func(f Formula) bool { return f.Name == operands[0] })
	if k < 0 {
		return nil, misuse("there is no quantity %q; write %s", operands[0], formulaNames(known))
	}
	f := known[k]
	input, err := f.read(operands[1:])
	if err != nil {
		return nil, err
	}
	answer, err := f.compute(input)
	if input.wrong != nil {
		return nil, input.wrong
	}
	if err != nil {
		return nil, err
	}
	answer.of = f
	return answer, answer.check()
}

func formulaNames(all []Formula) string {
	names := make([]string, len(all))
	for i, f := range all {
		names[i] = f.Name
	}
	return strings.Join(names, ", ")
}
