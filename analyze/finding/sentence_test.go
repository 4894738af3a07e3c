package finding

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/analyze/bore"
)

func TestComposed_SaysWhatWhereAndHowFar(t *testing.T) {
	f := Finding{Rule: HeatInput, Worst: 640e3, Limit: 550e3, Place: &bore.Place{Angle: 10, Depth: 0.0254}}
	const advice = "; the qualified procedure rules; have the wall judged by who is responsible for the welding"
	require.Equal(t, "heat input 0.640 kJ/mm, above the limit of 0.550 kJ/mm, from 10 deg at 25.4 mm depth"+advice, f.Composed())
	for k := range table {
		rule := table[k].rule
		if table[k].what == "" {
			continue
		}
		f := Finding{Rule: rule, Worst: 2, Limit: 1, Place: &bore.Place{Angle: 10, Depth: 0.0254}}
		assert.Contains(t, f.Composed(), "25.4 mm depth", rule)
		f.By = "Operator 1"
		assert.Contains(t, f.Composed(), ", typed in by Operator 1", rule)
	}
}

// What a finding does not keep the numbers of, it can not say anew.
func TestComposed_KeepsWhatItCannotCompose(t *testing.T) {
	for _, rule := range []Rule{OffCentre, OvalBore, WallPatch, "of another time"} {
		f := Finding{Rule: rule, Worst: 2, Limit: 1, Sentence: "as it was filed"}
		assert.Equal(t, "as it was filed", f.Composed())
	}
}

// Whatever a value that is out of its limit, the sentence does not print the two alike.
func TestSentence_IsNoContradiction(t *testing.T) {
	f := Finding{Rule: ArcOnRatio, Worst: 0.8696, Limit: 0.87}
	assert.Contains(t, f.Composed(), "arc-on ratio 0.8696, below the limit of 0.8700")
	f = Finding{Rule: Voltage, Worst: 19.04, Limit: 19}
	assert.Contains(t, f.Composed(), "voltage 19.04 V, above the limit of 19.00 V")
	f = Finding{Rule: BriefArcOuts, Worst: 3.0001 / 60, Limit: 3.0 / 60}
	assert.Contains(t, f.Composed(), "3.0001 /min, above the limit of 3.0000 /min")
	f = Finding{Rule: Current, Worst: 160 + 1e-9, Limit: 160}
	assert.Contains(t, f.Composed(), "current just above 160 A, above the limit of 160 A")
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
