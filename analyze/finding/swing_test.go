package finding

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/byangle"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
)

// What a sentence may claim depends on how the axis lies.
func TestWatch_Swept(t *testing.T) {
	mm := quantity.Metres(0.3e-3)
	s := byangle.Sweep{Layer: 2, First: 1, Last: 1, Turns: 12, OffCentre: byangle.Swing{Known: true, Found: true, Amplitude: 0.0147, Least: 0.004, Crest: 200, Distance: &mm, DistanceDoubt: new(mm / 10)}}
	for axis, words := range map[string][2]string{
		"vertical":   {"the torch stands off the centre towards there", "gravity"},
		"horizontal": {"one set-up cannot tell them apart", "does not say"},
		"":           {"which the job does not say", "accept"},
	} {
		w := NewWatch(&procedure.Job{Bore: bore.Bore{Axis: axis}})
		assert.Equal(t, 1, w.Swept(s), "its pass is no longer open")
		f := w.Found()[0]
		assert.Equal(t, OffCentre, f.Rule)
		assert.Equal(t, quantity.Degrees(200), f.Place.Angle)
		assert.InDelta(t, 0.0107, f.Beyond, 1e-9)
		assert.Contains(t, f.Sentence, words[0])
		assert.NotContains(t, f.Sentence, words[1])
		assert.Contains(t, f.Sentence, "0.30 mm (+-0.06 mm, k = 2)")
	}
	w := NewWatch(&procedure.Job{})
	s.Shifted, s.Moved = true, 0.02
	s.Oval = byangle.Swing{Known: true, Found: true, Amplitude: 0.006, Crest: 150, Distance: new(mm / 2), DistanceDoubt: new(mm / 20)}
	w.ledger.pass = &pass.Pass{Number: 1}
	assert.Zero(t, w.Swept(s))
	assert.Equal(t, 2, w.ledger.pass.Findings)
	assert.Contains(t, w.Found()[0].Sentence, "gravity does not move")
	assert.Contains(t, w.Found()[1].Sentence, "widest at 60 and 240 deg, the longest diameter 0.60 mm")
}

// Each sentence once, with twice the standard uncertainties, and a quarter turn from
// narrow to wide.
func TestWatch_SweptInWords(t *testing.T) {
	s := byangle.Sweep{
		Layer: 2, First: 1, Last: 3, Start: pass.Moment{Epoch: 1, Tick: 9}, Depth: 0.004, Turns: 12.25, Mean: byangle.Bin{ArcTime: 600},
		OffCentre: byangle.Swing{Found: true, Amplitude: 0.0147, Uncertainty: 0.0012, Least: 0.004, Crest: 200, CrestDoubt: 4},
		Oval:      byangle.Swing{Found: true, Amplitude: 0.006, Uncertainty: 0.0011, Least: 0.005, Crest: 30, CrestDoubt: 3},
	}
	w := NewWatch(&procedure.Job{Bore: bore.Bore{Axis: "horizontal"}})
	require.Equal(t, 2, w.Swept(s))
	require.Equal(t, Finding{
		Number: 1, Rule: OffCentre, Pass: 3, Layer: 2, Place: &bore.Place{Angle: 200, Depth: 0.004}, Start: pass.Moment{Epoch: 1, Tick: 9}, Duration: 600,
		Worst: 0.0147, Limit: 0.004, Beyond: 0.0147 - w.Found()[0].Limit,
		Sentence: "current swings once a turn by 1.47 % (+-0.24 %, k = 2) either side of its mean, highest at 200 deg (+-8), over 12.2 turns; " +
			"either the torch stands off the centre towards there, or gravity moves the pool (flat, up, overhead, down) " +
			"as it does round an axis that is not vertical: one set-up cannot tell them apart; measure the distance on a slow dry turn",
	}, w.Found()[0])
	require.Equal(t, "current swings twice a turn by 0.60 % (+-0.22 %, k = 2) either side of its mean, highest at 30 and 210 deg (+-6), over 12.2 turns: "+
		"the bore is likely oval, widest at 120 and 300 deg; measure the bore across both, and see whether it cleans up at the wide sides", w.Found()[1].Sentence)
	require.Equal(t, OvalBore, w.Found()[1].Rule)
	require.Equal(t, &bore.Place{Angle: 30, Depth: 0.004}, w.Found()[1].Place)

	// From 90 degrees on the wide side is the one before it; the distance swings by a
	// quarter of the difference of the diameters.
	s.OffCentre.Found = false
	s.Oval.Crest, s.Oval.Distance, s.Oval.DistanceDoubt = 90, new(quantity.Metres(0.2e-3)), new(quantity.Metres(0.01e-3))
	w.Swept(s)
	require.Contains(t, w.Found()[2].Sentence, "highest at 90 and 270 deg (+-6), over 12.2 turns: the bore is likely oval, widest at 0 and 180 deg, "+
		"the longest diameter 0.80 mm (+-0.08 mm, k = 2) over the shortest; measure the bore")
	s.OffCentre, s.Oval.Found = byangle.Swing{}, false
	require.Zero(t, w.Swept(s), "nothing is found")
	require.Len(t, w.Found(), 3)
}
