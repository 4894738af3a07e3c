package virtualbox

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

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
		box, err := New(p, Options{Speed: 1, Layers: asked, Faults: NoFaults}.Planned(p))
		require.NoError(t, err)
		assert.Equal(t, want, box.Plan().Layers)
	}
	_, err = New(p, Options{Speed: 1, Layers: -1, Faults: NoFaults}.Planned(p))
	require.Error(t, err)
}
