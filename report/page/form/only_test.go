package form

import (
	"maps"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// typedInSensor is what a person may type into each field of a sensor that not all links have.
var typedInSensor = map[string]string{
	"columns.voltage": "1", "columns.current": "2", "columns.wire_speed": "3", "columns.gas_flow": "4", "columns.temperature": "5",
	"separator": "semicolon", "decimal": "comma", "unit": "7", "map": "block", "wire_m_per_count": "0.001", "parity": "even", "echo": "true",
}

// TestFields_OfALinkAlone: a field is shown for the links that take it, and the parser
// refuses it with every other.
func TestFields_OfALinkAlone(t *testing.T) {
	group := sensorGroup()
	links := group.Fields[slices.IndexFunc(group.Fields, func(f Field) bool { return f.Key == "link" })].Choices
	require.Len(t, links, 5)
	told := 0
	for _, f := range group.Fields {
		if f.Only == nil {
			continue
		}
		told++
		for _, link := range links {
			values := map[string]string{"job": "A", "procedure": "p.yaml", "deposit.pattern": "straight", "sensors.0.port": "/dev/a", "sensors.0.link": link}
			switch link {
			case plainMeter:
				values["sensors.0.columns.voltage"], values["sensors.0.columns.current"] = "8", "9"
			case slave:
				values["sensors.0.unit"], values["sensors.0.map"] = "1", "block"
			}
			_, without := Apply(Job, nil, values)
			require.Empty(t, without, link)
			with := maps.Clone(values)
			with["sensors.0."+f.Key] = typedInSensor[f.Key]
			_, problems := Apply(Job, nil, with)
			assert.Equal(t, slices.Contains(f.Only, link), len(problems) == 0, "%s with %s: %v", f.Key, link, problems)
		}
	}
	assert.Equal(t, len(typedInSensor), told)
}

func TestFields_EveryChoiceOfALinkHasWords(t *testing.T) {
	for _, kind := range Kinds {
		for _, group := range Of(kind).Groups {
			for _, f := range group.Fields {
				for choice, words := range f.Words {
					assert.Contains(t, f.Choices, choice)
					assert.NotEmpty(t, words)
				}
				if f.Words != nil {
					assert.Len(t, f.Words, len(f.Choices))
				}
			}
		}
	}
}
