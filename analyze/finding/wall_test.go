package finding

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/byangle"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
)

// disturbed files arc-outs at angles, one a turn of 48 s, in one pass of ten turns.
func disturbed(w *Watch, p *pass.Pass, angles ...float64) {
	w.ledger.pass = p
	for turn, angle := range angles {
		w.ledger.add(Finding{
			Rule: ArcOut, Worst: 1, Start: pass.Moment{Tick: int64((float64(turn) + angle/360) * 48e9)},
			Place: &bore.Place{Angle: quantity.Degrees(angle), Depth: quantity.Metres(3e-3 * float64(turn))},
		})
	}
	endWall(w, p)
}

// endWall ends a pass for the judge of the wall alone.
func endWall(w *Watch, p *pass.Pass) {
	for _, j := range w.judges {
		if x, ok := j.(*wall); ok {
			x.End(p)
		}
	}
}

func tenTurns(number int, basis heat.TravelBasis) *pass.Pass {
	return &pass.Pass{Number: number, Pattern: bore.Helix, TravelBasis: basis, Elapsed: 480, Turns: new(10.0)}
}

func patches(w *Watch) (all []Finding) {
	for _, f := range w.Found() {
		if f.Rule == WallPatch {
			all = append(all, f)
		}
	}
	return all
}

func TestWatch_wallPatch(t *testing.T) {
	for name, x := range map[string]struct {
		angles []float64
		basis  heat.TravelBasis
		turns  int // on which the patch was met; 0 is no patch
		patch  float64
	}{
		"three turns at one angle": {[]float64{100, 104, 98}, heat.TravelMeasured, 3, 100.7},
		"over the reference mark":  {[]float64{357, 359, 2, 3, 359}, heat.TravelDerived, 4, 0}, // 359 and the next 2 are one
		"two are chance":           {[]float64{100, 104}, heat.TravelMeasured, 0, 0},
		"three apart":              {[]float64{100, 125, 150}, heat.TravelMeasured, 0, 0},
		"angle only declared":      {[]float64{100, 104, 98}, heat.TravelDeclared, 0, 0},
	} {
		t.Run(name, func(t *testing.T) {
			w := NewWatch(&procedure.Job{})
			p := tenTurns(1, x.basis)
			disturbed(w, p, x.angles...)
			found := patches(w)
			if x.turns == 0 {
				require.Empty(t, found)
				return
			}
			require.Len(t, found, 1, "one finding about the wall")
			assert.InDelta(t, 0, float64(bore.AngleDifference(found[0].Place.Angle, quantity.Degrees(x.patch))), 0.1)
			assert.Equal(t, float64(x.turns), found[0].Worst)
			assert.Len(t, found[0].Parts, len(x.angles))
			for _, number := range found[0].Parts {
				assert.Equal(t, found[0].Number, w.Found()[number-1].PartOf)
			}
			assert.Contains(t, found[0].Sentence, "the wall")
			assert.Equal(t, len(x.angles)+1, p.Findings)
		})
	}
}

// Two rules broken at once are one meeting with the wall; another pass goes on
// with the patch that is there.
func TestWatch_wallPatchOverPasses(t *testing.T) {
	w := NewWatch(&procedure.Job{})
	p := tenTurns(1, heat.TravelMeasured)
	w.ledger.pass = p
	for _, rule := range []Rule{Voltage, Current, ArcOut} {
		w.ledger.add(Finding{Rule: rule, Worst: 1, Place: &bore.Place{Angle: 50}})
	}
	endWall(w, p)
	require.Empty(t, patches(w))
	for number := 2; number <= 4; number++ {
		disturbed(w, tenTurns(number, heat.TravelMeasured), 53)
	}
	require.Len(t, patches(w), 1)
	assert.Equal(t, 4.0, patches(w)[0].Worst)
	assert.Len(t, patches(w)[0].Parts, 6)
}

func TestWatch_derivedRotationPlacesAnew(t *testing.T) {
	w := NewWatch(&procedure.Job{Deposit: bore.Deposit{Pitch: 3e-3}})
	p := tenTurns(1, heat.TravelDerived)
	p.StartPlace = &bore.Place{Angle: 10}
	p.Rotation.Speed = 1.0 / 48
	w.ledger.pass = p
	w.ledger.add(Finding{Rule: Voltage, Worst: 1, Start: pass.Moment{Tick: 120e9}, Place: &bore.Place{Angle: 77, Depth: 1e-3}})
	w.ledger.placeAnew(p)
	f := w.Found()[0]
	assert.InDelta(t, 190, float64(f.Place.Angle), 1e-9)
	assert.InDelta(t, 7.5e-3, float64(f.Place.Depth), 1e-12)
	assert.Contains(t, f.Sentence, "190 deg at 7.5 mm depth")
	assert.NotContains(t, f.Sentence, "77 deg")
}

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
