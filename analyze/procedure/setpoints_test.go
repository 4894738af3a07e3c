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

// The mode of transfer is one of those that can be told, or left out.
func TestParseProcedure_transfer(t *testing.T) {
	text := func(transfer string) []byte {
		return []byte("procedure: P\nprocess: MAG\nlimits: {voltage: 16..19 V}\n" + transfer)
	}
	for _, mode := range append(Transfers(), "") {
		line := ""
		if mode != "" {
			line = "transfer: " + mode + "\n"
		}
		p, err := ParseProcedure("p.yaml", text(line))
		require.NoError(t, err)
		assert.Equal(t, mode, p.Transfer)
	}
	_, err := ParseProcedure("p.yaml", text("transfer: drip\n"))
	assert.ErrorContains(t, err, `transfer cannot be "drip"; write dip, spray, globular or pulsed`)
}
