package compare

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
)

// steady are so many bins at 20 V.
func steady(n int) []float64 { return slices.Repeat([]float64{20}, n) }

// of returns the departures in a quantity.
func (c *Comparison) of(q Quantity) (all []Departure) {
	for _, d := range c.Departures {
		if d.Quantity == q {
			all = append(all, d)
		}
	}
	return all
}

// Apart is more than a share of the level, where the differences do not scatter: more
// than 0.5 V, which are 2.5 % of 20 V. Bins 3 to 6 differ by 0.5, 0.625, 0.875 and 0.75 V.
func TestDeparture_byHand(t *testing.T) {
	o := Options{Deviations: 4, Share: 0.025, Dwell: 2.9}
	this := steady(24)
	this[3], this[4], this[5], this[6] = 20.5, 20.625, 20.875, 20.75
	c := laid(t, profileOf(1, 0, this...), profileOf(2, 0, steady(24)...), o)
	require.Len(t, c.Scales, 4)
	require.Equal(t, Voltage, c.Scales[0].Quantity)
	require.Zero(t, c.Scales[0].Deviation, "most differences are those of the bins before")
	require.Equal(t, 0.5, c.Scales[0].Threshold)
	found := c.of(Voltage)
	require.Len(t, found, 1)
	d := found[0]
	assert.Equal(t, [2]int{4, 6}, [2]int{d.First, d.Last})
	assert.InDelta(t, 20, float64(d.From.Angle), 1e-9)
	assert.InDelta(t, 35, float64(d.To.Angle), 1e-9, "where the next bin begins")
	assert.Equal(t, quantity.Seconds(3), d.Lasted)
	assert.Equal(t, 0.75, d.Mean)
	assert.Equal(t, 0.875, d.Worst)
	assert.Equal(t, "voltage 0.75 V above pass 2 for 3.0 s of arc, from 20 deg at 4.0 mm to 35 deg at 7.0 mm depth, at most 0.88 V; "+
		"look at the set voltage, the leads and clamps, and the distance from tip to wall", d.Sentence)

	// And below: for three seconds, which are not longer than a dwell of three.
	for k := range this {
		this[k] = 40 - this[k]
	}
	d = laid(t, profileOf(1, 0, this...), profileOf(2, 0, steady(24)...), o).of(Voltage)[0]
	require.Equal(t, -0.75, d.Mean)
	require.Equal(t, -0.875, d.Worst)
	require.Contains(t, d.Sentence, "voltage 0.75 V below pass 2 for 3.0 s of arc")
	o.Dwell = 3
	require.Empty(t, laid(t, profileOf(1, 0, this...), profileOf(2, 0, steady(24)...), o).of(Voltage))
}

// The mean is by arc time: 1 V for 3 s and 2 V for 1 s are 1.25 V.
func TestDeparture_meanByArcTime(t *testing.T) {
	this := profileOf(1, 0, 20, 20, 20, 20, 21, 22, 20, 20, 20, 20)
	this.Bins[4] = Bin{Arc: 3, Meant: 3, V: 63, I: 300, Energy: 6300, Place: this.Bins[4].Place, Placed: true}
	d := laid(t, this, profileOf(2, 0, steady(10)...), usual).of(Voltage)[0]
	require.InDelta(t, 1.25, d.Mean, 1e-12)
	require.Equal(t, quantity.Seconds(4), d.Lasted)
	require.Equal(t, 2.0, d.Worst)
}

// The threshold is four deviations where they are more than the share. Differences of 0
// and 1 V by turns step by 1 V: 4*1.4826/sqrt(2) is 4.193 V.
func TestDeparture_threshold(t *testing.T) {
	for last, want := range map[float64]int{24.2: 1, 24.19: 0} {
		this := []float64{20, 21, 20, 21, 20, 21, 20, 21, 20, 21, last, last, last}
		c := laid(t, profileOf(1, 0, this...), profileOf(2, 0, steady(13)...), Options{Deviations: 4, Share: 0.02, Dwell: 1})
		require.InDelta(t, 4*1.4826/1.4142135623730951, c.Scales[0].Threshold, 1e-12)
		require.Len(t, c.of(Voltage), want, last)
	}
}

// A bin in which one of them is not known neither ends a run nor adds to it, and the step
// over it is none; one that goes to the other side begins another run.
func TestDeparture_runs(t *testing.T) {
	this := profileOf(1, 0, 20, 20, 20, 20, 20, 20, 22, 22, 22, 18, 18, 20, 22, 22)
	this.Bins[7] = Bin{}
	other := profileOf(2, 0, steady(14)...)
	c := laid(t, this, other, usual)
	found := c.of(Voltage)
	require.Len(t, found, 3)
	for k, want := range []struct {
		first, last int
		mean        float64
	}{{6, 8, 2}, {9, 10, -2}, {12, 13, 2}} {
		assert.Equal(t, want.first, found[k].First)
		assert.Equal(t, want.last, found[k].Last)
		assert.Equal(t, want.mean, found[k].Mean)
		assert.Equal(t, quantity.Seconds(2), found[k].Lasted)
	}
	assert.InDelta(t, 65, float64(found[2].To.Angle), 1e-9, "the last bin has none behind it")
	this.Bins[9].Placed, other.Bins[9].Placed = false, false
	assert.InDelta(t, 40, float64(laid(t, this, other, usual).of(Voltage)[0].To.Angle), 1e-9, "and here it has no place")
	require.Empty(t, c.of(Wire))
}

// A quantity that is not known of both has no scale.
func TestDeparture_notKnown(t *testing.T) {
	this := profileOf(1, 0, steady(5)...)
	for k := range this.Bins {
		this.Bins[k].WireRead = false
	}
	c := laid(t, this, profileOf(2, 0, steady(5)...), usual)
	require.Len(t, c.Scales, 3)
	require.Equal(t, Power, c.Scales[2].Quantity)
	this.Bins = this.Bins[:1]
	c = laid(t, this, profileOf(2, 0, steady(5)...), usual)
	require.Len(t, c.Scales, 3, "one bin is enough")
}

// arcs is a profile that has burned, and had no data, for so long in each bin.
func arcs(number int, arcAndUnseen ...float64) *Profile {
	p := profileOf(number, 0, steady(len(arcAndUnseen)/2)...)
	for k := range p.Bins {
		p.Bins[k].Arc, p.Bins[k].Unseen, p.Bins[k].Meant = arcAndUnseen[2*k], arcAndUnseen[2*k+1], 0
	}
	return p
}

// The arc is out where it burned for less than half of the other's time; without data it
// is taken to have burned, and where neither has an arc there is a planned gap.
func TestDeparture_arc(t *testing.T) {
	full := arcs(2, 1, 0, 1, 0, 1, 0, 1, 0, 0, 0, 1, 0, 1, 0, 1, 0)
	this := arcs(1, 1, 0, 0.5, 0, 0.4, 0, 0.2, 0, 0, 0, 0.1, 0, 0.1, 0.5, 0.1, 0.2)
	found := laid(t, this, full, Options{Dwell: 2.9}).of(Arc)
	require.Len(t, found, 0, "0.6 and 0.8 and 0.9 are 2.3, then there is half, then 0.7")
	found = laid(t, this, full, Options{Dwell: 2.2}).of(Arc)
	require.Len(t, found, 1)
	require.Equal(t, [2]int{2, 5}, [2]int{found[0].First, found[0].Last})
	require.InDelta(t, 2.3, float64(found[0].Lasted), 1e-12)
	require.InDelta(t, -2.3, found[0].Mean, 1e-12)
	require.InDelta(t, -0.9, found[0].Worst, 1e-12)
	require.Equal(t, "arc out where pass 2 has it on, for 2.3 s of its arc, from 10 deg at 2.0 mm to 30 deg at 6.0 mm depth; look for a hole in the bead and a cold restart", found[0].Sentence)

	this.Pass, full.Pass = 2, 1
	found = laid(t, full, this, Options{Dwell: 2.2}).of(Arc)
	require.Len(t, found, 1)
	require.InDelta(t, 2.3, found[0].Mean, 1e-12)
	require.InDelta(t, 0.9, found[0].Worst, 1e-12)
	require.Equal(t, "arc on where pass 2 has it out, for 2.3 s, from 10 deg at 2.0 mm to 30 deg at 6.0 mm depth; look whether metal lies where none should be, or whether the torch was slow", found[0].Sentence)
	d := 0.6 + 0.8 + 0.9
	require.Empty(t, laid(t, full, this, Options{Dwell: quantity.Seconds(d)}).of(Arc), "for the dwell exactly")
}

// What is out on one side and then on the other is two of them; and along the arc time a
// pass is never out.
func TestDeparture_arcSides(t *testing.T) {
	this, other := arcs(1, 1, 0, 0, 0, 0, 0, 1, 0, 1, 0), arcs(2, 1, 0, 1, 0, 1, 0, 0, 0, 0, 0)
	c := laid(t, this, other, Options{Dwell: 1})
	require.Len(t, c.of(Arc), 2)
	require.Equal(t, -2.0, c.of(Arc)[0].Mean)
	require.Equal(t, 2.0, c.of(Arc)[1].Mean)
	this.Way, other.Way = ArcTime, ArcTime
	require.Empty(t, laid(t, this, other, Options{Dwell: 1}).Departures)
}

// Where it is, without a place: by the arc time, or not at all.
func TestComparison_where(t *testing.T) {
	c := &Comparison{Way: ArcTime, Width: 0.5}
	require.Equal(t, ", from 3.5 s of arc on", c.where(&Departure{First: 7}))
	c.Way = Turns
	require.Empty(t, c.where(&Departure{First: 7}))
}
