package waveform

import (
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
)

// A constructed law of the size of a 0.9 mm wire: check value WD-17 gives the
// form only.
const (
	anodeShare = 0.45e-3 // m/(A*s)
	jouleShare = 1.4e-6  // m/(A^2*s)
)

func stretchAt(current, ripple float64) (quantity.MetresPerSecond, *Statistics) {
	rms := current * (1 + ripple)
	return quantity.MetresPerSecond(anodeShare*current + jouleShare*rms*rms), &Statistics{Current: quantity.Amperes(current), RMS: quantity.Amperes(rms)}
}

func TestLaw_coefficientsFromSeveralWorkingPoints(t *testing.T) {
	var l Law
	for _, current := range []float64{90, 110, 130, 150, 170} {
		w, s := stretchAt(current, 0.03)
		l.Add(w, s)
	}
	m := l.Melting()
	require.True(t, m.Apart)
	require.InEpsilon(t, anodeShare, m.Anode, 1e-9)
	require.InEpsilon(t, jouleShare, m.Joule, 1e-9)
	w, s := stretchAt(200, 0.02)
	require.InEpsilon(t, float64(w), float64(l.WireSpeed(s)), 1e-9)
}

func TestLaw_onlyASlopeFromOneWorkingPoint(t *testing.T) {
	var l Law
	for k := range 100 {
		w, s := stretchAt(140+0.3*float64(k%5), 0.03)
		l.Add(w+quantity.MetresPerSecond(2e-4*float64(k%3-1)), s)
	}
	m := l.Melting()
	require.False(t, m.Apart)
	w, s := stretchAt(140, 0.03)
	require.InEpsilon(t, float64(w)/140, m.Slope, 0.01)
	require.InEpsilon(t, float64(w), float64(l.WireSpeed(s)), 0.01)
}

func TestLaw_joined(t *testing.T) {
	var all, first, second Law
	for k := range 10 {
		w, s := stretchAt(100+float64(10*k), 0.03)
		all.Add(w, s)
		if k < 4 {
			first.Add(w, s)
		} else {
			second.Add(w, s)
		}
	}
	first.Join(second)
	require.InEpsilon(t, all.Melting().Anode, first.Melting().Anode, 1e-9)
	require.Nil(t, new(Law).Melting())
}
