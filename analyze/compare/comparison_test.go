package compare

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
)

// profileOf is a profile of bins of 5 degrees, of which each has burned for a second at
// its voltage and 100 A.
func profileOf(number, first int, volts ...float64) *Profile {
	p := &Profile{Pass: number, Way: Turns, Width: 1.0 / 72, First: first}
	for k, v := range volts {
		p.Bins = append(p.Bins, Bin{
			Arc: 1, Meant: 1, V: v, I: 100, Energy: 100 * v, Wire: 0.1, WireRead: true,
			Place: bore.Place{Angle: 1, Depth: 0.001 * quantity.Metres(first+k)}, Placed: true,
		})
	}
	return p
}

// laid lays pass 1 over pass 2.
func laid(t *testing.T, this, other *Profile, o Options) *Comparison {
	t.Helper()
	c, err := With([]*Profile{this, other}, []pass.Pass{{Number: 1}, {Number: 2}}, 1, 2, o)
	require.NoError(t, err)
	return c
}

// The lines run from the first bin of either to the last of either, and a bin that one of
// them has not is not known of it.
func TestComparison_range(t *testing.T) {
	c := laid(t, profileOf(1, 2, 20, 21, 22), profileOf(2, 0, 18, 18.5, 19), usual)
	require.Len(t, c.Lines, 5)
	for n, want := range []struct{ this, other float64 }{{0, 18}, {0, 18.5}, {20, 19}, {21, 0}, {22, 0}} {
		l := c.Lines[n]
		assert.Equal(t, n, l.Number)
		assert.InDelta(t, 5*n, float64(l.Place.Angle), 1e-9, "its number tells the angle")
		for v, q := range map[*quantity.Volts]float64{l.This.Voltage: want.this, l.Reference.Voltage: want.other} {
			require.Equal(t, q == 0, v == nil, n)
			if v != nil {
				assert.Equal(t, q, float64(*v))
			}
		}
	}
	c = laid(t, profileOf(1, 0, 20, 20), profileOf(2, 1, 18, 18, 18), usual)
	require.Len(t, c.Lines, 4)
}

// A bin with less than a quarter of the usual arc time is a strike or an end: it has no
// level. Each pass has its own usual arc time.
func TestComparison_leastArc(t *testing.T) {
	short := func(number int, usual float64) *Profile {
		p := profileOf(number, 0, 20, 20, 20, 20, 20)
		for k, share := range []float64{1, 1, 0.25, 0.249, 1} {
			b := &p.Bins[k]
			b.Arc, b.Meant = share*usual, share*usual
		}
		return p
	}
	c := laid(t, short(1, 2), short(2, 8), usual)
	for n, l := range c.Lines {
		for _, v := range []Values{l.This, l.Reference} {
			require.Equal(t, n == 3, v.Voltage == nil, n)
			require.Equal(t, n == 3, v.Power == nil, n)
			require.Equal(t, n == 3, v.Wire == nil, n)
		}
	}
}

// Where only the other pass has a place, it lies as much deeper as this one does where both
// are known: with bins from 2 on at 2 mm and more, and from 0 on at 3 mm more than that.
func TestComparison_placeOfTheOther(t *testing.T) {
	other := profileOf(2, 0, 20, 20, 20)
	for k := range other.Bins {
		other.Bins[k].Place.Depth += 0.003
	}
	this := profileOf(1, 1, 20, 20)
	this.Bins[0].Placed = false
	c := laid(t, this, other, usual)
	require.InDelta(t, 0.000, float64(c.Lines[0].Place.Depth), 1e-12, "3 mm of the other, which lies 3 mm deeper")
	require.InDelta(t, 0.001, float64(c.Lines[1].Place.Depth), 1e-12)
	require.InDelta(t, 0.002, float64(c.Lines[2].Place.Depth), 1e-12)
	this.Bins[1].Placed = false
	c = laid(t, this, other, usual)
	require.InDelta(t, 0.004, float64(c.Lines[1].Place.Depth), 1e-12, "no bin of this has a place: nobody knows")
	other.Bins[0].Placed = false
	require.False(t, laid(t, this, other, usual).Lines[0].Placed)
}

// Where the torch turns the other way, so do the angles; along the arc time a bin lies
// where it began to burn.
func TestComparison_placeOfABin(t *testing.T) {
	p := profileOf(1, 3, 20, 20)
	p.Backwards = true
	at, known := p.place(4, 0.5)
	require.True(t, known)
	require.InDelta(t, 340, float64(at.Angle), 1e-9)
	require.InDelta(t, 0.504, float64(at.Depth), 1e-12)
	p.Way = ArcTime
	at, _ = p.place(4, 0.5)
	require.Equal(t, bore.Place{Angle: 1, Depth: 0.004}, at)
	for _, number := range []int{2, 5} {
		_, known = p.place(number, 0)
		require.False(t, known, number)
	}
}

// The median of an odd number is the middle one, of an even one half way between two;
// what is not known of one is taken of the others.
func TestMedianOf(t *testing.T) {
	at := func(v quantity.Volts, arc quantity.Seconds) Values { return Values{Voltage: &v, Arc: arc} }
	v := medianOf([]Values{at(21, 3), at(17, 1), at(18, 2)})
	require.Equal(t, quantity.Volts(18), *v.Voltage)
	require.Equal(t, quantity.Seconds(2), v.Arc)
	require.Nil(t, v.Current)
	v = medianOf([]Values{at(21, 3), at(17, 1), at(18, 2), {Arc: 6, Unseen: 4}, at(20, 9), {Current: new(quantity.Amperes(7))}})
	require.Equal(t, quantity.Volts(19), *v.Voltage)
	require.Equal(t, quantity.Seconds(2.5), v.Arc)
	require.Equal(t, quantity.Seconds(0), v.Unseen)
	require.Equal(t, quantity.Amperes(7), *v.Current)
	require.Zero(t, middle(nil))
}

// The good passes are the others with the verdict within, no finding, and the same way.
func TestWithMedian_good(t *testing.T) {
	profiles := []*Profile{profileOf(1, 0, 20), profileOf(2, 0, 20), profileOf(3, 0, 20), profileOf(4, 0, 20), profileOf(5, 0, 20)}
	profiles[4].Way = ArcTime
	passes := []pass.Pass{
		{Number: 1, Verdict: heat.Within},
		{Number: 2, Verdict: heat.WithinNearLimit},
		{Number: 3, Verdict: heat.Within, Findings: 1},
		{Number: 4, Verdict: heat.Within},
		{Number: 5, Verdict: heat.Within},
		{Number: 6, Verdict: heat.Within},
	}
	c, err := WithMedian(profiles, passes, 1, usual)
	require.NoError(t, err)
	require.Equal(t, []int{4}, c.Good)
	require.Equal(t, "pass 4, the only good one", c.Name())
	_, err = WithMedian(profiles, passes, 6, usual)
	require.EqualError(t, err, "pass 6 has no profile: the record is too long to keep one of each pass")
	_, err = WithMedian(profiles, passes, 7, usual)
	require.EqualError(t, err, "there is no pass 7: the record has passes 1 to 6")
	require.Equal(t, "pass 3", (&Comparison{With: 3}).Name())
	require.Equal(t, "the median of 2 good passes", (&Comparison{Good: []int{2, 3}}).Name())
}
