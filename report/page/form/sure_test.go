package form

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/analyze/plausible"
)

// TestForm_EveryQuantityHasABand: nothing is typed of which nobody says what is usual.
func TestForm_EveryQuantityHasABand(t *testing.T) {
	words := []string{"sensors.baud", "sensors.unit", "sensors.wire_m_per_count"} // of the wire: any but lawful ones are refused
	bands := map[string]bool{}
	for _, b := range plausible.Bands {
		bands[b.What] = true
	}
	for _, kind := range Kinds {
		for _, group := range Of(kind).Groups {
			for _, f := range group.Fields {
				key := strings.Replace(group.Repeated+"."+f.Key, "deposit.gaps.", "gap.", 1)
				key = strings.TrimPrefix(key, ".")
				if slices.Contains(words, key) {
					continue
				}
				assert.Equal(t, f.isNumber() || key == "bore.axis", bands[key], key)
			}
		}
	}
}

func TestApply_SaysAgainOnPurpose(t *testing.T) {
	text := applied(t, Job, fileText(t, demoJob), map[string]string{"bore.worn_diameter": "9 m"})
	doubts := Doubts(Job, text)
	require.Len(t, doubts, 1)
	assert.Equal(t, "bore.worn_diameter", doubts[0].Field)
	assert.Equal(t, "9 m", doubts[0].Keep)
	assert.Contains(t, doubts[0].Reason, "9 m is outside of what is usual, 20 to 1500 mm: ")

	sure := applied(t, Job, text, map[string]string{"sure.bore.worn_diameter": doubts[0].Keep})
	assert.Contains(t, string(sure), "sure:\n  bore:\n    worn_diameter: 9 m\n")
	assert.Empty(t, Doubts(Job, sure))
	values, problems := Fill(Job, sure)
	assert.Empty(t, problems)

	// The same form again changes nothing, and another value takes its word back.
	assert.Equal(t, string(sure), string(applied(t, Job, sure, values)))
	values["bore.worn_diameter"] = "92.0 mm"
	mended := applied(t, Job, sure, values)
	assert.NotContains(t, string(mended), "sure")
	assert.NotContains(t, string(applied(t, Job, sure, map[string]string{"bore.worn_diameter": "92.0 mm"})), "sure")
	wider := applied(t, Job, sure, map[string]string{"bore.worn_diameter": "8 m"})
	assert.Len(t, Doubts(Job, wider), 1, "what was said again was another value")
}

func TestApply_WritesDecimalPoints(t *testing.T) {
	text := applied(t, Job, fileText(t, demoJob), map[string]string{"bore.worn_diameter": "92,5 mm", "bore.finish_diameter": "3 17/32 in", "material.analysis.C": "0,2", "job": "Boom 1,5"})
	values, _ := Fill(Job, text)
	assert.Equal(t, "92.5 mm", values["bore.worn_diameter"])
	assert.Equal(t, "3 17/32 in", values["bore.finish_diameter"])
	assert.Equal(t, "0.2", values["material.analysis.C"])
	assert.Equal(t, "Boom 1,5", values["job"])
	text = applied(t, Procedure, fileText(t, demoProcedure), map[string]string{"limits.voltage": "16,5..19,0 V"})
	values, _ = Fill(Procedure, text)
	assert.Equal(t, "16.5..19.0 V", values["limits.voltage"])

	_, problems := Apply(Job, fileText(t, demoJob), map[string]string{"bore.worn_diameter": "1,234 mm"})
	require.Len(t, problems, 1)
	assert.Equal(t, "bore.worn_diameter", problems[0].Field)
	assert.Contains(t, problems[0].Reason, "1,234 may be 1.234 or 1234; write the one that is meant")
}

func TestApply_FillsInWhereStrokesBegin(t *testing.T) {
	base := map[string]string{
		"job": "A", "procedure": "p.yaml", "bore.worn_diameter": "92 mm", "bore.length": "60 mm", "deposit.pitch": "3 mm",
		"deposit.pattern": "segment-reversing", "deposit.gaps.0.from": "80 deg", "deposit.gaps.0.to": "116 deg",
	}
	text := applied(t, Job, nil, base)
	assert.Contains(t, string(text), "start_angle: 116 deg")
	assert.Empty(t, Doubts(Job, text))
	assert.Contains(t, string(applied(t, Job, text, map[string]string{"rotation.start_angle": "20 deg"})), "start_angle: 20 deg", "what a person says rules")
	base["deposit.pattern"] = "rings"
	assert.NotContains(t, string(applied(t, Job, nil, base)), "start_angle")
}
