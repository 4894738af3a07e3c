package chart

import (
	"encoding/json"
	"errors"
	"io/fs"
	"math"
	"os"
	"testing"

	"github.com/stretchr/testify/require"
)

// referenceData is where NIST's data sets lie where there are any.
const referenceData = "../../../../shared/data/nist-strd.json"

func of(x []float64) Moments {
	var m Moments
	for _, v := range x {
		m.Add(v)
	}
	return m
}

// ST-08 to ST-10: NIST StRD, univariate. Source: the certified values of the
// reference data sets; standing: read, mean and r1 of Lew and Lottery recomputed.
func TestMoments_referenceData(t *testing.T) {
	text, err := os.ReadFile(referenceData)
	if errors.Is(err, fs.ErrNotExist) {
		t.Skip("the NIST reference data sets are not here: nothing is compared with them")
	}
	require.NoError(t, err)
	var all map[string]json.RawMessage
	require.NoError(t, json.Unmarshal(text, &all))
	for _, c := range []struct {
		id, set     string
		n           int
		mean, s, r1 float64
	}{
		{"ST-08", "Michelso", 100, 299.852400000000, 0.0790105478190518, 0.535199668621283},
		{"ST-09", "Lew", 200, -177.435, 277.332168044316, -0.307304800605679},
		{"ST-10", "Lottery", 218, 518.958715596330, 291.699727470969, -0.120948622967393},
	} {
		var x []float64
		require.NoError(t, json.Unmarshal(all[c.set], &x), c.set)
		m := of(x)
		require.Equal(t, c.n, m.Count(), c.id)
		require.InEpsilon(t, c.mean, m.Mean(), 1e-13, c.id)
		require.InEpsilon(t, c.s, m.Deviation(), digitsOf(c.id), c.id)
		require.InEpsilon(t, c.r1, m.Autocorrelation(), digitsOf(c.id), c.id)
		t.Logf("%s %s: off by %.1e of the mean, %.1e of s, %.1e of r1", c.id, c.set,
			m.Mean()/c.mean-1, m.Deviation()/c.s-1, m.Autocorrelation()/c.r1-1)
	}
}

// digitsOf is the tolerance: the spread of Michelso is lost in its last digits.
func digitsOf(id string) float64 {
	if id == "ST-08" {
		return 1e-9
	}
	return 1e-12
}

// ST-11 and ST-12: NIST NumAcc1 to 4, which defeat a sum of squares. Source: the
// definition of the sets; standing: read.
func TestMoments_numericalAccuracy(t *testing.T) {
	m := of([]float64{10000001, 10000003, 10000002})
	require.Equal(t, 10000002.0, m.Mean())
	require.Equal(t, 1.0, m.Deviation())
	require.Equal(t, -0.5, m.Autocorrelation())
	for _, c := range []struct{ base, mean, s float64 }{{1, 1e-14, 1e-13}, {1e6, 1e-14, 1e-9}, {1e7, 1e-14, 1e-8}} {
		x := []float64{c.base + 0.2}
		for range 500 {
			x = append(x, c.base+0.1, c.base+0.3)
		}
		m := of(x)
		require.Len(t, x, 1001)
		require.InEpsilon(t, c.base+0.2, m.Mean(), c.mean)
		require.InDelta(t, 0.1, m.Deviation(), c.s)
		require.InDelta(t, -0.999, m.Autocorrelation(), max(c.s, 1e-12))
	}
}

func TestMoments_joinedEqualsOneSeries(t *testing.T) {
	var x []float64
	for k := range 200 {
		x = append(x, 300+20*math.Sin(float64(k)*0.7)+float64(k%13))
	}
	for _, cut := range []int{0, 1, 2, 77, 199, 200} {
		m := of(x[:cut])
		m.Join(of(x[cut:]))
		want := of(x)
		require.Equal(t, want.Count(), m.Count())
		require.InEpsilon(t, want.Mean(), m.Mean(), 1e-14)
		require.InEpsilon(t, want.Deviation(), m.Deviation(), 1e-12)
		require.InEpsilon(t, want.Autocorrelation(), m.Autocorrelation(), 1e-11)
	}
}

func TestMoments_tooFewAreNotANumber(t *testing.T) {
	require.True(t, math.IsNaN(of(nil).Mean()))
	require.True(t, math.IsNaN(of([]float64{3}).Deviation()))
	require.True(t, math.IsNaN(of([]float64{3, 3}).Autocorrelation()))
	_, ok := of([]float64{3, 3}).Widening()
	require.True(t, ok, "what does not vary needs no widening")
}

// follow returns a first-order autoregressive series from a fixed sequence.
func follow(r float64, n int) []float64 {
	x, last, state := make([]float64, n), 0.0, uint32(1)
	for k := range x {
		state = state*1664525 + 1013904223
		last = r*last + float64(state>>8)/(1<<24) - 0.5
		x[k] = last
	}
	return x
}

func TestMoments_widening(t *testing.T) {
	f, ok := of(follow(0, 400)).Widening()
	require.True(t, ok)
	require.Equal(t, 1.0, f)
	f, ok = of(follow(0.5, 400)).Widening()
	require.True(t, ok)
	require.InDelta(t, math.Sqrt(3), f, 0.3)
	_, ok = of(follow(0.97, 400)).Widening()
	require.False(t, ok)
}
