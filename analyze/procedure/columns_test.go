package procedure

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

func TestParseJob_Columns(t *testing.T) {
	const head = "job: A\nprocedure: p\ndeposit: {pattern: straight}\nsensors:\n  - {port: a, link: columns, "
	for text, want := range map[string]series.Layout{
		"columns: {voltage: 1, current: 2*0.1, wire_speed: 3}}": {Separator: ',', Point: '.', Columns: []series.Column{
			{Channel: "voltage", Number: 1, Factor: 1}, {Channel: "current", Number: 2, Factor: 0.1}, {Channel: "wire_speed", Number: 3, Factor: 1},
		}},
		"decimal: comma, columns: {temperature: 4}}":              {Separator: ';', Point: ',', Columns: []series.Column{{Channel: "temperature", Number: 4, Factor: 1}}},
		"separator: space, columns: {gas_flow: 4*0.001}}":         {Separator: ' ', Point: '.', Columns: []series.Column{{Channel: "gas_flow", Number: 4, Factor: 0.001}}},
		"separator: tab, decimal: comma, columns: {gas_flow: 1}}": {Separator: '\t', Point: ',', Columns: []series.Column{{Channel: "gas_flow", Number: 1, Factor: 1}}},
	} {
		job, err := ParseJob("job.yaml", []byte(head+text))
		require.NoError(t, err, text)
		require.NotNil(t, job.Sensors[0].Columns, text)
		assert.Equal(t, want, *job.Sensors[0].Columns, text)
	}
	job, err := ParseJob("job.yaml", []byte("job: A\nprocedure: p\ndeposit: {pattern: straight}\nsensors: [{port: a, link: binary}]"))
	require.NoError(t, err)
	assert.Nil(t, job.Sensors[0].Columns)
}
