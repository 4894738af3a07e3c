package main

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/acquire/sensorbox"
	"arctally/acquire/series"
	"arctally/analyze"
	"arctally/analyze/bore"
	"arctally/analyze/finding"
	"arctally/analyze/procedure"
)

// layRings judges rings that are laid one after the other, each with its own
// distance from contact tip to wall, as one job.
func layRings(t *testing.T, standoffs []quantity.Metres) analyze.Result {
	t.Helper()
	if testing.Short() {
		t.Skip("it lays whole passes")
	}
	laid := sensorbox.Demo()
	laid.Pattern, laid.Gaps, laid.Layers, laid.Length = sensorbox.Rings, nil, 1, laid.Pitch
	laid.RotationSpeed = quantity.Of[quantity.TurnsPerSecond](4, "rpm")
	job := &procedure.Job{
		Bore:     bore.Bore{WornDiameter: laid.WornDiameter, Length: laid.Pitch * quantity.Metres(len(standoffs))},
		Deposit:  bore.Deposit{Pattern: bore.Rings, Pitch: laid.Pitch, WireDiameter: laid.WireDiameter},
		Rotation: procedure.Rotation{Speed: laid.RotationSpeed},
	}
	job.Procedure.Judge = procedure.Judge{AverageOver: 0.5, Dwell: 1, Hold: 0.3, ArcCurrent: 15, ArcVoltage: 8}
	job.Setpoints.CurrentPerDistance = quantity.Of[quantity.AmperesPerMetre](6.7, "A/mm") // as two trial beads of this box give it
	judge := analyze.New(job, nil)
	require.NoError(t, judge.Source(laid.Source()))
	for ring, standoff := range standoffs {
		laid.Standoff, laid.Seed = standoff, uint64(ring+1)
		box, err := sensorbox.New(laid)
		require.NoError(t, err)
		_, err = box.Each(t.Context(), func(b *series.Block) error {
			b.Epoch = ring
			return judge.Block(b)
		})
		require.NoError(t, err)
	}
	return judge.Finish()
}

// firstDrift returns the finding that first says that the contact drifts, nil for none.
func firstDrift(result analyze.Result) *finding.Finding {
	for k, f := range result.Findings {
		if f.Rule == finding.ContactDrift {
			return &result.Findings[k]
		}
	}
	return nil
}

// TestWaveform_contactDrift lays twelve good rings, and then lets the distance from
// tip to wall grow, as a tip that wears back does: what it shows is that the same
// wire takes less current.
func TestWaveform_contactDrift(t *testing.T) {
	const base, more = 12e-3, 0.2e-3 // m
	var steady, growing []quantity.Metres
	for ring := range 24 {
		steady = append(steady, base)
		growing = append(growing, base+quantity.Metres(more*float64(max(0, ring-11))))
	}
	good := layRings(t, steady)
	require.Len(t, good.Passes, len(steady))
	assert.Empty(t, good.Findings, "nothing drifts")
	require.NotNil(t, good.Melting)
	assert.False(t, good.Melting.Apart, "one working point tells no more than a slope")

	found := firstDrift(layRings(t, growing))
	require.NotNil(t, found)
	pass := found.Pass
	grown := 1e3 * float64(growing[pass-1]-base)
	t.Log(found.Sentence)
	assert.Regexp(t, `by the declared 6\.70 A/mm that is 0\.[1-9] mm more`, found.Sentence)
	t.Logf("24 steady rings: no drift; with 0.2 mm more from ring 13 on: found at ring %d, after %.1f mm", pass, grown)
	assert.Greater(t, pass, 12)
	assert.LessOrEqual(t, grown, 1.6, "mm")
}
