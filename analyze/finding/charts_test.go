package finding

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

func contactDrift() *passChart { return newCharts(nil, nil).rules[0] }

// drifted charts passes, and returns the number of the first that is reported.
func drifted(d *passChart, passes int, of func(k int) float64) (first int, worst float64) {
	for k := range passes {
		if _, out := d.add(of(k)); out && first == 0 {
			first, worst = k+1, d.average.Average()
		}
	}
	return first, worst
}

func TestDrift_tipWear(t *testing.T) {
	steady := func(k int) float64 { return 0.655e-3 * (1 + 0.002*math.Sin(float64(k)*2.3)) }
	first, _ := drifted(contactDrift(), 60, steady)
	require.Zero(t, first, "nothing drifts")

	// From the tenth pass on, one part in three hundred more with each.
	first, worst := drifted(contactDrift(), 60, func(k int) float64 { return steady(k) * (1 + max(0, float64(k-9))/300) })
	require.Greater(t, first, 10)
	require.Less(t, first, 20)
	require.Greater(t, worst, 0.655e-3)
}

func TestDrift_refusesATrendFromTheBeginning(t *testing.T) {
	d := contactDrift()
	first, _ := drifted(d, 30, func(k int) float64 { return 0.6e-3 * (1 + float64(k)/100) })
	require.True(t, d.refused || first > 0, "a trend in the reference itself is either refused or found")
}
