package calib

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestAtLeast(t *testing.T) {
	require.Equal(t, 2.0, atLeast(2, 2))
	require.Zero(t, atLeast(2, -1.9))
	require.Equal(t, -2.1, atLeast(2, -2.1))
}

func TestFit_refusesOnePlace(t *testing.T) {
	_, ok := Fit([]float64{5, 5}, []float64{1, 2})
	require.False(t, ok)
	_, ok = FitThroughZero([]float64{0, 0}, []float64{1, 2})
	require.False(t, ok)
	require.PanicsWithValue(t, "calib: readings and references differ in number", func() { Fit([]float64{1}, nil) })
}
