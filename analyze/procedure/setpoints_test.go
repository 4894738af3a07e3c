package procedure

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// How the current follows the distance of the torch is tried at the machine, and
// written as it is read there.
func TestParseJob_currentPerDistance(t *testing.T) {
	job := func(value string) []byte {
		return []byte("job: J\nprocedure: p.yaml\ndeposit: {pattern: straight}\nsetpoints: {current_per_distance: " + value + "}\n")
	}
	j, err := ParseJob("job.yaml", job("6.7 A/mm"))
	require.NoError(t, err)
	assert.InDelta(t, 6700, float64(j.Setpoints.CurrentPerDistance), 1e-9)
	for _, wrong := range []string{"6.7", "6.7 A", "-6.7 A/mm"} {
		_, err := ParseJob("job.yaml", job(wrong))
		assert.Error(t, err, wrong)
	}
}
