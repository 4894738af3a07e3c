package review

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/report/page/trace"
)

// Points that follow one another are joined by a straight line over the parts between them;
// across a break, before the first and after the last there is nothing.
func TestExtremesOf(t *testing.T) {
	const length = 1000 // ns of a part
	line := &trace.Line{
		Tick: []int64{10_500, 10_500 + 4*length, 10_500 + 10*length, 10_500 + 11*length, 10_600 + 11*length}, Value: []float64{1, 5, 20, 22, 2},
		Breaks: []int{2},
	}
	x := extremesOf(line, 10_000, 10_000+waveParts*length)
	assert.InDeltaSlice(t, []float64{1, 1.5, 2.5, 3.5, 4.5}, x.Low[:5], 1e-9)
	assert.InDeltaSlice(t, []float64{1.5, 2.5, 3.5, 4.5, 5}, x.High[:5], 1e-9)
	for k := 5; k < 10; k++ {
		assert.True(t, math.IsNaN(x.Low[k]) && math.IsNaN(x.High[k]), "part %d is in the gap", k)
	}
	assert.InDeltaSlice(t, []float64{20, 2}, x.Low[10:12], 1e-9)
	assert.InDeltaSlice(t, []float64{21, 22}, x.High[10:12], 1e-9)
	assert.True(t, math.IsNaN(x.Low[12]))
	assert.True(t, math.IsNaN(extremesOf(&trace.Line{}, 0, 5000).Low[waveParts-1]), "no line at all")
}

// Whatever the length of the time and however many points: no extreme is lost, and none is invented.
func TestExtremesOf_Property(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 7))
	for range 300 {
		from := random.Int64N(1e15)
		until := from + 1 + random.Int64N(4e10)
		line, tick := &trace.Line{}, from
		low, high := math.Inf(1), math.Inf(-1)
		for tick < until {
			v := random.NormFloat64()
			line.Tick, line.Value = append(line.Tick, tick), append(line.Value, v)
			if low, high = min(low, v), max(high, v); random.IntN(9) == 0 {
				line.Breaks = append(line.Breaks, len(line.Tick)-1)
			}
			tick += random.Int64N(max(1, (until-from)/700) * 2)
			if random.IntN(5) == 0 {
				tick++ // two points of one tick follow one another too
			}
			if len(line.Tick) > 5000 {
				break
			}
		}
		x := extremesOf(line, from, until)
		gotLow, gotHigh := math.Inf(1), math.Inf(-1)
		for k := range x.Low {
			require.Equal(t, math.IsNaN(x.Low[k]), math.IsNaN(x.High[k]))
			if !math.IsNaN(x.Low[k]) {
				require.LessOrEqual(t, x.Low[k], x.High[k])
				gotLow, gotHigh = min(gotLow, x.Low[k]), max(gotHigh, x.High[k])
			}
		}
		require.InDelta(t, low, gotLow, 1e-12)
		require.InDelta(t, high, gotHigh, 1e-12)
	}
}

// A quantity in a unit that the drawing does not have is not drawn.
func TestWaveOf(t *testing.T) {
	one := func(channel, unit string) trace.Line {
		return trace.Line{Channel: channel, Unit: unit, Tick: []int64{5}, Value: []float64{7}}
	}
	w := waveOf(0, 1000, []trace.Line{one("voltage", "V"), one("current", "mA"), one("power", "W")})
	assert.Equal(t, 7.0, w.Voltage.Low[1])
	assert.Equal(t, 7.0, w.Power.High[1])
	assert.Nil(t, w.Current.Low)
	assert.Equal(t, int64(1000), w.Until)
}
