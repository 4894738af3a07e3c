package series

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// oneOfEach are blocks of every kind with two samples each, but for the window.
func oneOfEach() []Block {
	return []Block{
		{Kind: Arc, Epoch: 2, Break: true, Tick: 5, Step: 10, V: []int32{1, 2}, I: []int32{3, 4}, Flag: []bool{true, false}},
		{Kind: Sums, Tick: 5, Step: 10, Sum: WindowSums{Count: 7, V: 1, I: 2, VI: 3, VMin: -4, VMax: 5, IMin: -6, IMax: 7, ArcOn: 6, WireCount: 8, Dropped: 9}},
		{Kind: Slow, Tick: 5, Step: 10, Channel: []uint8{2, 3}, Value: []float64{0.5, -0.5}},
		{Kind: Turn, Tick: 5, Ticks: []int64{5, 15}, Count: []int64{-1, -2}, AtMark: true},
	}
}

func TestBlock_lengthAndTicks(t *testing.T) {
	for _, b := range oneOfEach() {
		want := 2
		if b.Kind == Sums {
			want = 1
		}
		assert.Equal(t, want, b.Len(), "kind %d", b.Kind)
		assert.Equal(t, int64(5), b.At(0))
		assert.Equal(t, int64(15), b.At(1))
	}
	assert.Zero(t, (&Block{}).Len(), "of no kind")
	falling := Block{Tick: 5, Step: 10, Ticks: []int64{5, 3}}
	assert.Equal(t, int64(3), falling.At(1), "ticks of their own rule")
}

// A copy is whole, shares nothing with what it was made from, and takes no memory
// anew where its own will do.
func TestBlock_copyFrom(t *testing.T) {
	var kept Block
	for range 2 { // the second time over what it holds from the first
		for _, b := range oneOfEach() {
			kept.CopyFrom(&b)
			require.Equal(t, b, kept)
		}
	}
	b := oneOfEach()[0]
	kept.CopyFrom(&b)
	b.V[0], b.I[0], b.Flag[0] = 99, 99, false
	require.Equal(t, oneOfEach()[0], kept)
	require.Zero(t, testing.AllocsPerRun(10, func() { kept.CopyFrom(&b) }))
}

func TestSource_equal(t *testing.T) {
	source := func() Source {
		return Source{
			Name: "box1", Serial: "A7", CountsPerTurn: 360,
			Channels: []Channel{{Name: "voltage", Unit: "V", Scale: 0.01, Bits: 14, Basis: Average}, {Name: "current", Unit: "A", Scale: 0.1}},
		}
	}
	require.True(t, source().Equal(source()))
	for name, change := range map[string]func(*Source){
		"serial":          func(s *Source) { s.Serial = "A8" },
		"counts per turn": func(s *Source) { s.CountsPerTurn = 0.5 },
		"assumed":         func(s *Source) { s.Assumed = true },
		"longest step":    func(s *Source) { s.MaxStep = 1 },
		"offset":          func(s *Source) { s.Channels[1].Offset = 0.1 },
		"basis":           func(s *Source) { s.Channels[0].Basis = Instantaneous },
		"bandwidth":       func(s *Source) { s.Channels[0].Bandwidth = 1000 },
		"skew of nothing": func(s *Source) { s.Skew.Known = true },
		"one channel":     func(s *Source) { s.Channels = s.Channels[:1] },
	} {
		other := source()
		change(&other)
		require.False(t, source().Equal(other), name)
		require.False(t, other.Equal(source()), name)
	}
}

func TestBasis_words(t *testing.T) {
	assert.Equal(t, "unknown instantaneous average", BasisUnknown.String()+" "+Instantaneous.String()+" "+Average.String())
}

func TestBasis_comesBack(t *testing.T) {
	for _, b := range []Basis{BasisUnknown, Instantaneous, Average} {
		assert.Equal(t, b, BasisOf(b.String()))
	}
	assert.Equal(t, BasisUnknown, BasisOf("Average"), "another word")
}

// A statement of nothing is another thing than none.
func TestStated_comesBack(t *testing.T) {
	for _, s := range []Stated{{}, {Known: true}, {Value: -20, Known: true}} {
		assert.Equal(t, s, StatedBy(s.Key()))
	}
	assert.Nil(t, Stated{}.Key())
}

// TestWindowSums_Extremes: where the least is above the most nobody said them, and the
// mean lies between.
func TestWindowSums_Extremes(t *testing.T) {
	w := WindowSums{Count: 4, V: 70, I: -6, VMin: 10, VMax: 25, IMin: math.MaxInt16, IMax: math.MinInt16}
	low, high := w.Extremes(VoltageChannel)
	assert.Equal(t, [2]float64{10, 25}, [2]float64{low, high})
	low, high = w.Extremes(CurrentChannel)
	assert.Equal(t, [2]float64{-1.5, -1.5}, [2]float64{low, high})
	w.Count = 0
	low, high = w.Extremes(CurrentChannel)
	assert.Equal(t, [2]float64{0, 0}, [2]float64{low, high})
}

// The end of a block is where its last sample stands, and of a window of sums where the
// next one begins.
func TestBlock_End(t *testing.T) {
	even := Block{Kind: Arc, Tick: 100, Step: 10, V: make([]int32, 3), I: make([]int32, 3)}
	assert.Equal(t, int64(120), even.End())
	own := Block{Kind: Slow, Ticks: []int64{100, 107}, Channel: []uint8{2, 3}, Value: []float64{1, 2}}
	assert.Equal(t, int64(107), own.End())
	window := Block{Kind: Sums, Tick: 100, Step: 10, Sum: WindowSums{Count: 3}}
	assert.Equal(t, int64(130), window.End())
}
