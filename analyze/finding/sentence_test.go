package finding

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
)

// inches are words of a reader who wants everything in his own.
var inches = Words{
	Against: func(_ Rule, value, limit float64) (string, string) {
		return fmt.Sprintf("<%g>", value), fmt.Sprintf("<%g>", limit)
	},
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

// Whatever a value that is out of its limit, the sentence does not print the two alike.
func TestSentence_IsNoContradiction(t *testing.T) {
	f := Finding{Rule: ArcOnRatio, Worst: 0.8696, Limit: 0.87}
	assert.Contains(t, f.SentenceIn(metric), "arc-on ratio 0.8696, below the limit of 0.8700")
	f = Finding{Rule: Voltage, Worst: 19.04, Limit: 19}
	assert.Contains(t, f.SentenceIn(metric), "voltage 19.04 V, above the limit of 19.00 V")
	f = Finding{Rule: BriefArcOuts, Worst: 3.0001 / 60, Limit: 3.0 / 60}
	assert.Contains(t, f.SentenceIn(metric), "3.0001 /min, above the limit of 3.0000 /min")
	f = Finding{Rule: Current, Worst: 160 + 1e-9, Limit: 160}
	assert.Contains(t, f.SentenceIn(metric), "current just above 160 A, above the limit of 160 A")
	random := rand.New(rand.NewPCG(1, 1))
	for range 2000 {
		row := table[random.IntN(len(table))]
		if row.what == "" {
			continue
		}
		limit := (0.01 + random.Float64()) * math.Pow10(random.IntN(6))
		f := Finding{Rule: row.rule, Limit: limit, Worst: limit * (1 + (random.Float64()-0.5)*math.Pow10(-random.IntN(12)))}
		for _, unit := range []Unit{row.unit, row.us} {
			if unit.Name == "" || f.Worst == f.Limit {
				continue
			}
			value, against := unit.Against(f.Worst, f.Limit)
			assert.NotEqual(t, value, against, "%s: %v, %v", row.rule, f.Worst, f.Limit)
		}
	}
}
