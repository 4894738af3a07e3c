package harmonic

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func point(start, end int64, at, weight, value float64) Point {
	return Point{Start: start, End: end, At: at, Turns: at / 1000, Weight: weight, Mean: [Channels]float64{value, 2 * value}}
}

// Two stretches that follow one another within a grain are one, by their weights.
func TestSeries_joins(t *testing.T) {
	const s = settling
	for name, c := range map[string]struct {
		start, end int64
		want       int
	}{
		"within the grain": {s + 10, s + 20, 1}, "longer than it": {s + 10, s + 21, 2}, "overlapping": {s + 9, s + 19, 2}, "apart": {s + 15, s + 20, 1},
	} {
		series := NewSeries(20, 10)
		series.Add(point(s, s+10, 100, 1, 10))
		series.Add(point(c.start, c.end, 200, 3, 20))
		series.Add(point(s+2*ending, s+2*ending+1, 0, 1, 0)) // lets them through
		got := series.Points()
		require.Len(t, got, c.want, name)
		if c.want == 1 {
			assert.InDelta(t, 0.175, got[0].Turns, 1e-12)
			got[0].Turns = 0
			assert.Equal(t, Point{Start: s, End: c.end, At: 175, Weight: 4, Mean: [Channels]float64{17.5, 35}}, got[0], name)
		}
	}
}

// What is struck settles for a second; what is about to go out is 100 ms. Each to the tick.
func TestSeries_timesToTheTick(t *testing.T) {
	series := NewSeries(1, 10)
	series.Strike(1000)
	series.Add(point(1000+settling-1, 1000+settling, 0, 1, 1))  // not settled
	series.Add(point(1000+settling, 1000+settling+10, 0, 0, 2)) // without weight
	series.Add(point(1000+settling, 1000+settling+10, 0, 1, 3))
	series.Add(point(1000+settling+10+ending-1, 1000+settling+10+ending, 0, 1, 4))
	assert.Empty(t, series.Points())
	series.Add(point(1000+settling+10+ending, 1000+settling+20+ending, 0, 1, 5))
	require.Len(t, series.Points(), 1)
	assert.Equal(t, 3.0, series.Points()[0].Mean[0])
	series.Rest() // what waits is too near to the end
	series.Strike(0)
	series.Add(point(10*settling, 10*settling+1, 0, 1, 6))
	series.Add(point(11*settling, 11*settling+1, 0, 1, 7))
	require.Len(t, series.Points(), 2)
	assert.Equal(t, 6.0, series.Points()[1].Mean[0])
	series.Strike(11 * settling)
	series.Add(point(13*settling, 13*settling+1, 0, 1, 8))
	assert.Len(t, series.Points(), 2, "a strike forgets what waits")
	series.Reset()
	assert.Empty(t, series.Points())
}

// Too many stretches are joined in a grain that is twice as long, and again, until there
// are few enough; those that follow are joined in it from the start.
func TestSeries_coarsens(t *testing.T) {
	series := NewSeries(10, 4)
	add := func(k int64) {
		at := settling + k*10
		series.Add(point(at, at+10, float64(k), 1, float64(k)))
	}
	for k := range int64(4) {
		add(k)
	}
	series.Add(point(settling+ending+1000, settling+ending+1001, 0, 1, 0))
	require.Len(t, series.Points(), 4)
	for k := int64(200); k < 205; k++ {
		at := settling + ending + k*10
		series.Add(point(at, at+10, float64(k), 1, float64(k)))
	}
	series.Add(point(settling+4*ending, settling+4*ending+1, 0, 1, 0))
	got := series.Points()
	require.LessOrEqual(t, len(got), 4)
	weight := 0.0
	for _, p := range got {
		weight += p.Weight
	}
	assert.Equal(t, 10.0, weight, "nothing is lost")
	assert.Equal(t, int64(40), series.grain)
	assert.Equal(t, point(settling, settling+40, 1.5, 4, 1.5), got[0])
	series.Reset()
	assert.Equal(t, int64(10), series.grain)
}
