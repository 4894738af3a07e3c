package chart

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// insert puts a value into a series and into its sums; take takes it out.
func insert(s Sums, x []float64, at int, value float64) (Sums, []float64) {
	before, after := neighbours(x, at-1, at)
	return s.Plus(Between(before, value, after)), slices.Insert(x, at, value)
}

func take(s Sums, x []float64, at int) (Sums, []float64) {
	before, after := neighbours(x, at-1, at+1)
	return s.Plus(Between(before, x[at], after).Minus()), slices.Delete(x, at, at+1)
}

func neighbours(x []float64, before, after int) (b, a *float64) {
	if before >= 0 {
		b = new(x[before])
	}
	if after < len(x) {
		a = new(x[after])
	}
	return b, a
}

// In whatever order values came and went, the sums say what Individuals and Moments say.
func TestSums_equalASeries(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	var s Sums
	var x []float64
	for range 600 {
		if len(x) > 3 && random.IntN(3) == 0 {
			s, x = take(s, x, random.IntN(len(x)))
			continue
		}
		s, x = insert(s, x, random.IntN(len(x)+1), 316_000+12_000*random.NormFloat64())
	}
	require.Greater(t, len(x), 100)
	c := individuals(x)
	m := c.Moments()
	require.Equal(t, int64(m.Count()), s.N)
	require.InEpsilon(t, m.Mean(), s.Mean(), 1e-12)
	require.InEpsilon(t, c.MeanRange(), s.MeanRange(), 1e-9)
	require.InDelta(t, m.Autocorrelation(), s.autocorrelation(x[0], x[len(x)-1]), 1e-8)
	low, high := c.Limits()
	gotLow, gotHigh, factor, ok := s.Limits(x[0], x[len(x)-1])
	require.True(t, ok)
	require.Equal(t, 1.0, factor)
	require.InEpsilon(t, low, gotLow, 1e-9)
	require.InEpsilon(t, high, gotHigh, 1e-9)
}

// What resembles its neighbours gets wider limits, or none, as Moments has it.
func TestSums_widening(t *testing.T) {
	for _, r := range []float64{0.5, 0.97} {
		x := follow(r, 400)
		var s Sums
		for k, v := range x {
			s, _ = insert(s, x[:k:k], k, v)
		}
		want, wantOK := of(x).Widening()
		_, _, factor, ok := s.Limits(x[0], x[len(x)-1])
		require.Equal(t, wantOK, ok, r)
		require.InDelta(t, want, factor, 1e-9, r)
	}
}

func TestSums_tooFew(t *testing.T) {
	var s Sums
	require.True(t, math.IsNaN(s.Mean()))
	s, x := insert(s, nil, 0, 5)
	require.True(t, math.IsNaN(s.MeanRange()))
	s, _ = insert(s, x, 1, 5)
	require.True(t, math.IsNaN(s.autocorrelation(5, 5)), "nothing varies")
	_, _, factor, ok := s.Limits(5, 5)
	require.True(t, ok)
	require.Equal(t, 1.0, factor)
}
