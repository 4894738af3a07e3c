package analyze

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
	"arctally/analyze/arc"
)

// Whether ticks step back, or wrap around, is known before samples are taken many at once.
func TestOrder_risesTo(t *testing.T) {
	block := func(tick, step int64, n int) *series.Block {
		return &series.Block{Kind: series.Arc, Tick: tick, Step: step, V: make([]int32, n), I: make([]int32, n)}
	}
	for name, c := range map[string]struct {
		before []*series.Block
		b      *series.Block
		want   bool
	}{
		"the first":           {nil, block(5, 10, 3), true},
		"ticks that stand":    {nil, block(5, 0, 3), true},
		"one":                 {nil, block(math.MaxInt64-1, 10, 1), true},
		"up to the end":       {nil, block(math.MaxInt64-21, 10, 3), true},
		"over it":             {nil, block(math.MaxInt64-19, 10, 3), false},
		"once round":          {nil, block(0, math.MaxInt64, 4), false},
		"from end to end":     {nil, block(math.MinInt64, math.MaxInt64, 3), true},
		"behind others":       {[]*series.Block{block(0, 10, 3)}, block(20, 10, 3), true},
		"before them":         {[]*series.Block{block(0, 10, 3)}, block(19, 10, 3), false},
		"behind such as wrap": {[]*series.Block{block(math.MaxInt64-19, 10, 3)}, block(math.MaxInt64-1, 10, 1), false},
	} {
		t.Run(name, func(t *testing.T) {
			o, _ := ordered(t, source(360))
			for _, b := range c.before {
				o.pushSamples(b)
			}
			o.pushSamples(c.b)
			require.Equal(t, c.want, o.rising)
		})
	}
	o, _ := ordered(t, source(360))
	o.pushSamples(block(0, 10, 3))
	o.pushWindow(&series.Block{Kind: series.Sums, Tick: 30, Step: 10, Sum: series.WindowSums{Count: 1}})
	require.False(t, o.rising, "a window is among them")
}

func TestRisen(t *testing.T) {
	x := []arc.Sample{{Tick: 1}, {Tick: 2}, {Tick: 2}, {Tick: 4}}
	for until, n := range map[int64]int{1: 1, 2: 3, 3: 3, 4: 4, 5: 4} {
		require.Equal(t, n, risen(x, until), until)
	}
}
