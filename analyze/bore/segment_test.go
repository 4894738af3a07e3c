package bore

import (
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
)

// Constructed cases; geometry alone.
func TestSegments(t *testing.T) {
	for _, c := range []struct {
		id    string
		gaps  []Gap
		start float64
		want  []Segment
	}{
		{"no gap", nil, 30, []Segment{{30, 30}}},
		{"one gap", []Gap{{80, 116}}, 116, []Segment{{116, 80}}},
		{"one gap, start inside the segment", []Gap{{80, 116}}, 0, []Segment{{116, 80}}},
		{"two gaps", []Gap{{80, 116}, {260, 300}}, 0, []Segment{{300, 80}, {116, 260}}},
		{"two gaps, start in a gap", []Gap{{260, 300}, {80, 116}}, 90, []Segment{{116, 260}, {300, 80}}},
		{"two gaps, start at an edge", []Gap{{260, 300}, {80, 116}}, 116, []Segment{{116, 260}, {300, 80}}},
		{"two gaps, start where a segment ends", []Gap{{80, 116}, {260, 300}}, 80, []Segment{{116, 260}, {300, 80}}},
		{"gaps that touch", []Gap{{80, 100}, {100, 116}}, 116, []Segment{{116, 80}}},
		{"gap over the mark", []Gap{{350, 10}}, 10, []Segment{{10, 350}}},
		{"gap to 360", []Gap{{300, 360}}, 0, []Segment{{0, 300}}},
	} {
		t.Run(c.id, func(t *testing.T) {
			d := Deposit{Pattern: SegmentReversing, Gaps: c.gaps}
			got := d.Segments(quantity.Degrees(c.start))
			require.Equal(t, c.want, got)
			left := 0.0
			for _, s := range got {
				left += float64(s.Width())
			}
			for _, g := range c.gaps {
				left += float64(g.Width())
			}
			require.InDelta(t, 360, left, 1e-9, "segments and gaps are the whole circle")
		})
	}
}

func TestNearest(t *testing.T) {
	s := []Segment{{300, 80}, {116, 260}}
	for angle, want := range map[float64]int{0: 0, 299: 0, 81: 0, 97: 0, 98: 0, 99: 1, 116: 1, 200: 1, 261: 1, 281: 0} {
		require.Equal(t, want, Nearest(s, quantity.Degrees(angle)), angle)
	}
	require.InDelta(t, 3, float64(s[0].Off(83)), 1e-9)
	require.InDelta(t, 2, float64(s[0].Off(298)), 1e-9)
	require.Zero(t, s[0].Off(0))
	require.Panics(t, func() { Nearest(nil, 0) })
}
