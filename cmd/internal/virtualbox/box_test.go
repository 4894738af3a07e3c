package virtualbox

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/sensorbox"
	planning "arctally/analyze/plan"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/jobfile/jobtest"
)

// The virtual box of serve lays what the plan says, unless it is told otherwise.
func TestServe_LaysAsManyLayersAsPlanned(t *testing.T) {
	p, err := jobfile.Read(jobtest.Short(t, "helix", jobtest.OneTurn))
	require.NoError(t, err)
	p.Job.Bore.WeldToDiameter = 0.080
	made, err := planning.Make(p.Job, planning.Options{})
	require.NoError(t, err)
	require.Greater(t, len(made.Layers), 1)
	for asked, want := range map[int]int{PlannedLayers: len(made.Layers), 1: 1, 7: 7} {
		boxes, err := New(p, Options{Speed: 1, Layers: asked, Faults: NoFaults}.Planned(p))
		require.NoError(t, err)
		require.Len(t, boxes, 1)
		assert.Equal(t, want, boxes[0].Plan().Layers)
	}
	_, err = New(p, Options{Speed: 1, Layers: -1, Faults: NoFaults}.Planned(p))
	require.Error(t, err)
}

// Two boxes share what is laid; a box that fails is the first.
func TestNew_TwoBoxesShareThePlan(t *testing.T) {
	p, err := jobfile.Read(jobtest.Short(t, "helix", jobtest.FourTurns))
	require.NoError(t, err)
	boxes, err := New(p, Options{Speed: 1, Layers: 1, Faults: "gas-loss,reboot,link-loss", Beside: true})
	require.NoError(t, err)
	require.Len(t, boxes, 2)
	arc, beside := boxes[0].Plan(), boxes[1].Plan()
	assert.Equal(t, sensorbox.ArcPart, arc.Part)
	assert.Equal(t, sensorbox.BesidePart, beside.Part)
	assert.Len(t, arc.Faults, 3)
	require.Len(t, beside.Faults, 1)
	assert.Equal(t, sensorbox.GasLoss, beside.Faults[0].Kind)
	beside.Part, beside.Faults = arc.Part, arc.Faults
	assert.Equal(t, arc, beside)
}
