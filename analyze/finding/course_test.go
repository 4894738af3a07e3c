package finding

import (
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/pass"
)

// begun returns what is found as a pass begins, at 90 degrees.
func begun(c pass.Course) []Finding {
	w := NewWatch(testJob())
	w.Follow(turning{})
	w.Begin(&pass.Pass{Number: 2, Course: c}, turning{}.At(12e9))
	return w.Found()
}

// Up to 15 degrees from where the other pass stopped are no matter, either way.
func TestCourse_restart(t *testing.T) {
	for off, want := range map[quantity.Degrees]Rule{-15: "", 15: "", -15.5: WeldedOver, 15.5: LeftOut} {
		found := begun(pass.Course{Off: &off})
		if want == "" {
			require.Empty(t, found, off)
			continue
		}
		require.Len(t, found, 1)
		require.Equal(t, want, found[0].Rule)
		require.Equal(t, 15.5, found[0].Worst)
		require.Equal(t, 15.0, found[0].Limit)
		require.InDelta(t, 90, float64(found[0].Place.Angle), 1e-9)
		require.Equal(t, int64(12e9), found[0].Start.Tick)
	}
	require.Empty(t, begun(pass.Course{}))
}

func TestCourse_strokes(t *testing.T) {
	found := begun(pass.Course{Missing: 2})
	require.Len(t, found, 1)
	require.Equal(t, StrokeCount, found[0].Rule)
	require.Equal(t, -2.0, found[0].Worst)
	require.Zero(t, found[0].Limit)
	found = begun(pass.Course{Extra: true, Off: new(quantity.Degrees(20))})
	require.Len(t, found, 2, "and gone on with too far")
	require.Equal(t, LeftOut, found[0].Rule)
	require.Equal(t, StrokeCount, found[1].Rule)
	require.Equal(t, 1.0, found[1].Worst)
	require.Equal(t, 1.0, found[1].Beyond)
}
