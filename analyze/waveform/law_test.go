package waveform

import (
	"math"
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

func workingPoint(current, ripple float64) (quantity.MetresPerSecond, *Statistics) {
	rms := current * (1 + ripple)
	return quantity.MetresPerSecond(anodeShare*current + jouleShare*rms*rms), &Statistics{Current: quantity.Amperes(current), RMS: quantity.Amperes(rms)}
}

func TestLaw_coefficientsFromSeveralWorkingPoints(t *testing.T) {
	var l Law
	for _, current := range []float64{90, 110, 130, 150, 170} {
		w, s := workingPoint(current, 0.03)
		l.Add(w, s)
	}
	m := l.Melting()
	require.True(t, m.Apart)
	require.InEpsilon(t, anodeShare, m.Anode, 1e-9)
	require.InEpsilon(t, jouleShare, m.Joule, 1e-9)
	w, s := workingPoint(200, 0.02)
	require.InEpsilon(t, float64(w), float64(l.WireSpeed(s)), 1e-9)
}

func TestLaw_onlyASlopeFromOneWorkingPoint(t *testing.T) {
	var l Law
	for k := range 100 {
		w, s := workingPoint(140+0.3*float64(k%5), 0.03)
		l.Add(w+quantity.MetresPerSecond(2e-4*float64(k%3-1)), s)
	}
	m := l.Melting()
	require.False(t, m.Apart)
	w, s := workingPoint(140, 0.03)
	require.InEpsilon(t, float64(w)/140, m.Slope, 0.01)
	require.InEpsilon(t, float64(w), float64(l.WireSpeed(s)), 0.01)
}

func TestLaw_joined(t *testing.T) {
	var all, first, second Law
	for k := range 10 {
		w, s := workingPoint(100+float64(10*k), 0.03)
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

// fitted returns a law of five working points with a scatter that changes neither
// coefficient: it is at right angles to the currents and to their squares. Its size is
// such that one coefficient, the anode's or the Joule share, lies so many standard
// errors from zero.
func fitted(anode, joule, errors float64, ofJoule bool) *Law {
	currents := []float64{90, 110, 130, 150, 170}
	scatter := []float64{1, -2, 0, 2, -1}
	at := func(k int) (i, j float64) { return currents[k], currents[k] * currents[k] }
	var ii, ij, jj, si, sj float64
	for k := range currents {
		i, j := at(k)
		ii, ij, jj, si, sj = ii+i*i, ij+i*j, jj+j*j, si+scatter[k]*i, sj+scatter[k]*j
	}
	det := ii*jj - ij*ij
	x, y := (si*jj-sj*ij)/det, (sj*ii-si*ij)/det // what of the scatter is along them
	ss := 0.0
	for k := range scatter {
		i, j := at(k)
		scatter[k] -= x*i + y*j
		ss += scatter[k] * scatter[k]
	}
	// With n - 2 degrees of freedom, and the inverse of the sums of squares.
	wanted, inverse := anode/errors, jj/det
	if ofJoule {
		wanted, inverse = joule/errors, ii/det
	}
	size := wanted / math.Sqrt(ss/3*inverse)
	l := new(Law)
	for k := range currents {
		i, j := at(k)
		l.Add(quantity.MetresPerSecond(anode*i+joule*j+size*scatter[k]), &Statistics{Current: quantity.Amperes(i), RMS: quantity.Amperes(i)})
	}
	return l
}

// Each coefficient must lie four standard errors from zero.
func TestLaw_fourStandardErrors(t *testing.T) {
	for errors, want := range map[float64]bool{4.01: true, 3.99: false} {
		a, bL, ok := fitted(anodeShare, 20*jouleShare, errors, false).Coefficients()
		require.Equal(t, want, ok, "%v of the anode's share", errors)
		require.InEpsilon(t, anodeShare, a, 1e-6)
		require.InEpsilon(t, 20*jouleShare, bL, 1e-6)
		_, _, ok = fitted(20*anodeShare, jouleShare, errors, true).Coefficients()
		require.Equal(t, want, ok, "%v of the Joule share", errors)
	}
	_, _, ok := fitted(-anodeShare, jouleShare, 99, true).Coefficients()
	require.False(t, ok, "no metal freezes on")
}

// The currents must spread over 5 % of their mean, there must be three of them, and I
// and J must not go together.
func TestLaw_whatTheDataMustShow(t *testing.T) {
	of := func(currents ...float64) bool {
		var l Law
		for _, current := range currents {
			w, s := workingPoint(current, 0.03)
			l.Add(w, s)
		}
		_, _, ok := l.Coefficients()
		return ok
	}
	require.True(t, of(94, 100, 107))
	require.False(t, of(94, 107), "two of them fit anything")
	require.True(t, of(94.9, 105.1, 94.9, 105.1))
	require.False(t, of(95.1, 104.9, 95.1, 104.9))
	var l Law
	for _, current := range []float64{90, 110, 130, 150, 170} {
		l.Add(quantity.MetresPerSecond(1e-3*current), &Statistics{Current: quantity.Amperes(current), RMS: quantity.Amperes(math.Sqrt(140 * current))})
	}
	_, _, ok := l.Coefficients()
	require.False(t, ok, "an rms of which the square follows the current tells nothing more")
}
