package finding

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
)

// inches are words of a reader who wants everything in his own.
var inches = Words{
	Value: func(_ Rule, si float64) string { return fmt.Sprintf("<%g>", si) },
	Depth: func(d quantity.Metres) string { return quantity.Text(d, "in", 2) },
}

func TestSentenceIn_SaysTheSameInOtherUnits(t *testing.T) {
	f := Finding{Rule: HeatInput, Worst: 640e3, Limit: 550e3, Place: &bore.Place{Angle: 10, Depth: 0.0254}}
	f.Sentence = f.SentenceIn(metric)
	const advice = "; the qualified procedure rules; have the wall judged by who is responsible for the welding"
	require.Equal(t, "heat input 0.640 kJ/mm, above the limit of 0.550 kJ/mm, from 10 deg at 25.4 mm depth"+advice, f.Sentence)
	assert.Equal(t, "heat input <640000>, above the limit of <550000>, from 10 deg at 1.00 in depth"+advice, f.SentenceIn(inches))
	for k := range table {
		rule := table[k].rule
		if table[k].what == "" {
			continue
		}
		f := Finding{Rule: rule, Worst: 2, Limit: 1, Place: &bore.Place{Angle: 10, Depth: 0.0254}}
		assert.Contains(t, f.SentenceIn(inches), "1.00 in depth", rule)
		f.By = "Operator 1"
		assert.Contains(t, f.SentenceIn(inches), "<2>, above the limit of <1>, typed in by Operator 1", rule)
	}
}

// What a finding does not keep the numbers of, it can not say anew.
func TestSentenceIn_KeepsWhatItCannotCompose(t *testing.T) {
	for _, rule := range []Rule{OffCentre, OvalBore, WallPatch, "of another time"} {
		f := Finding{Rule: rule, Worst: 2, Limit: 1, Sentence: "as it was filed"}
		assert.Equal(t, "as it was filed", f.SentenceIn(inches))
	}
}
