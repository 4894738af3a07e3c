package procedure

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/calib"
)

func TestParseJob_DegreesOfFreedom(t *testing.T) {
	job, err := ParseJob("job.yaml", []byte("job: J\nprocedure: p.yaml\ndeposit: {pattern: straight}\n"+
		"instruments: {current: {standard_uncertainty: 1 %, degrees_of_freedom: 8}}\n"))
	require.NoError(t, err)
	assert.Equal(t, []calib.Calibration{{Channel: "current", Gain: 1, Relative: 0.01, Freedom: 8}}, job.Instruments)
	job, err = ParseJob("job.yaml", []byte("job: J\nprocedure: p.yaml\ndeposit: {pattern: straight}\n"+
		"instruments: {current: {standard_uncertainty: 1 %, degrees_of_freedom: 1}}\n"))
	require.NoError(t, err, "two readings have one")
	assert.Equal(t, 1.0, job.Instruments[0].Freedom)
}
