package virtualbox

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/acquire/sensorbox"
)

// TestWithin puts the faults of the demo, in turns 1, 2 and 3, where the pattern has
// turns for them.
func TestWithin(t *testing.T) {
	faults, err := Faults(DefaultFaults, 2)
	require.NoError(t, err)
	for _, test := range []struct {
		pattern sensorbox.Pattern
		beads   quantity.Metres // along the bore
		want    [][2]int        // pass and turn
	}{
		{sensorbox.Helix, 20, [][2]int{{1, 1}, {1, 2}, {2, 3}}},
		{sensorbox.Helix, 2, [][2]int{{1, 1}, {1, 2}, {2, 2}}},
		{sensorbox.Rings, 20, [][2]int{{1, 1}, {2, 1}, {23, 1}}},
		{sensorbox.Rings, 2, [][2]int{{1, 1}, {2, 1}, {4, 1}}},
		{sensorbox.SegmentOneWay, 2, [][2]int{{1, 1}, {2, 1}, {4, 1}}},
	} {
		plan := sensorbox.Demo()
		plan.Pattern, plan.Length, plan.StartAngle = test.pattern, test.beads*plan.Pitch, 116
		plan.Faults = within(plan, faults)
		var at [][2]int
		for _, f := range plan.Faults {
			at = append(at, [2]int{f.Pass, f.Turn})
		}
		assert.Equal(t, test.want, at, "%s of %g", test.pattern, test.beads)
		_, err := sensorbox.New(plan)
		assert.NoError(t, err, test.pattern)
	}
	assert.Equal(t, 2, faults[2].Pass, "those that were given stay as they are")
}
