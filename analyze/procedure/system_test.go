package procedure

import (
	"os"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestInUS_IsWhatMostValuesAreWrittenIn(t *testing.T) {
	for _, test := range []struct {
		text string
		want bool
	}{
		{"bore: {worn_diameter: 3 5/8 in, length: 2.5 in}\ndeposit: {wire_diameter: 0.9 mm}\nrotation: {speed: 1.2 rpm}", true},
		{"bore: {worn_diameter: 92 mm, length: 2.5 in}\ndeposit: {wire_diameter: 0.9 mm}", false},
		{"bore: {worn_diameter: 3.5 in}\nmaterial: {thickness: 30 mm}", false},
		{"setpoints: {voltage: 17.5 V, wire_speed: 216.5in/min}", true},
		{"job: ground 5 mm\npeople: {operator: in}", false},
		{"limits: {travel_speed: 11..16.5 in/min, interpass: ..482 degF}", true},
		{"job: 12\n", false},
	} {
		top := (&document{}).root([]byte(test.text))
		require.Equal(t, test.want, inUS(top), test.text)
	}
	text, err := os.ReadFile("../../testdata/job/us-units/job.yaml")
	require.NoError(t, err)
	job, err := ParseJob("job.yaml", text)
	require.NoError(t, err)
	require.True(t, job.InUS)
	text, err = os.ReadFile("../../testdata/job/demo/job.yaml")
	require.NoError(t, err)
	job, err = ParseJob("job.yaml", text)
	require.NoError(t, err)
	require.False(t, job.InUS)
}
