package sheet_test

import (
	"bytes"
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
)

func TestSheet_rotationAndAngles(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, sheettest.BySweep().JSON(&b))
	var got struct {
		Passes []struct {
			Rotation *sheet.RotationRow `json:"rotation"`
		} `json:"passes"`
		ByAngle  []sheet.SweepRow   `json:"by_angle"`
		Findings []sheet.FindingRow `json:"findings"`
	}
	require.NoError(t, json.Unmarshal(b.Bytes(), &got))
	r := got.Passes[0].Rotation
	require.NotNil(t, r)
	assert.InDelta(t, 1.19, *r.Speed, 1e-12)
	assert.InDelta(t, 0.002, *r.ExpandedUncertainty, 1e-12)
	assert.InDelta(t, 1.25, *r.Declared, 1e-12)
	assert.Equal(t, "derived", r.Basis)
	assert.Equal(t, "current rhythm", r.From)
	s := got.ByAngle[0]
	assert.Len(t, s.Bins, 65, "no bin where there was no arc")
	assert.Len(t, s.ByTurn, 1)
	assert.Equal(t, 2.5, *s.Bins[0].Angle)
	assert.Nil(t, s.Bins[0].WireSpeed)
	assert.InDelta(t, 5, *s.OffCentre.Amplitude, 1e-12)
	assert.InDelta(t, 200, *s.OffCentre.Crest, 1e-12)
	assert.InDelta(t, 0.2, *s.OffCentre.DistanceUncertainty, 1e-12)
	assert.Nil(t, s.Oval.Crest, "what is not found points nowhere")
	assert.Equal(t, "%", got.Findings[0].Unit)
	assert.InDelta(t, 5, *got.Findings[0].Worst, 1e-12)
	assert.Equal(t, "turns", got.Findings[1].Unit)
	assert.Equal(t, []int{3}, got.Findings[1].Parts)
	assert.Equal(t, 2, got.Findings[2].PartOf)
}
