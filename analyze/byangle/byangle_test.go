package byangle

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/arc"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
)

// swung is a constructed current: 140 A, of which a share swings once a turn and
// another twice, in noise of 2 A.
type swung struct {
	once, twice   float64
	crest, narrow float64 // degrees from the reference mark
}

func (s swung) at(angle float64, dice *rand.Rand) float64 {
	return 140*(1+s.once*math.Cos((angle-s.crest)*math.Pi/180)+s.twice*math.Cos(2*(angle-s.narrow)*math.Pi/180)) + 2*dice.NormFloat64()
}

func job(pattern bore.Pattern) *procedure.Job {
	return &procedure.Job{
		Deposit:  bore.Deposit{Pattern: pattern, Pitch: 3e-3},
		Rotation: procedure.Rotation{Speed: 1, StartAngle: 40},
		Setpoints: procedure.Setpoints{
			CurrentPerDistance: quantity.Of[quantity.AmperesPerMetre](7, "A/mm"),
		},
	}
}

// turnTime is 10 s, so that a turn has 1000 buckets.
const turnTime = 10_000_000_000

// lay plays passes of so many turns each, through a gap from 80 to 116 degrees.
func lay(w *Watch, basis heat.TravelBasis, layer, first, passes int, turns float64, s swung) {
	dice := rand.New(rand.NewPCG(uint64(layer), 9))
	tick, turned := int64(0), 0.0
	for number := first; number < first+passes; number++ {
		p := &pass.Pass{Number: number, Layer: layer, TravelBasis: basis, Start: pass.Moment{Tick: tick}, StartPlace: &bore.Place{Depth: 1e-3}, Turns: new(turns)}
		p.Rotation.Speed = 0.1
		start := turned
		if basis != heat.TravelMeasured {
			start = 0
		}
		w.Begin(p, pass.Position{Moment: p.Start, Turns: start})
		w.WireSpeed(0.09)
		out := false
		for k := range int64(turns * 1000) {
			angle := 40 + float64(k)*0.36
			in := math.Mod(angle, 360)
			gap := in >= 80 && in < 116
			at := tick + k*10_000_000
			x := start + float64(k)/1000
			if basis == heat.TravelDerived {
				x *= 0.9 // as was assumed while it went on
			}
			switch {
			case gap && !out:
				w.Rest(pass.Position{})
			case !gap && out:
				w.Resume(pass.Position{}, pass.Position{Moment: pass.Moment{Tick: at}, Turns: x}, 1)
			}
			if out = gap; gap {
				continue
			}
			i := s.at(angle, dice)
			w.Burn(&pass.Bucket{Bucket: arc.Bucket{Start: at, End: at + 10_000_000, Arc: 10_000_000, V: 17 * 1e7, I: i * 1e7, Energy: 17 * i * 1e7}, Turns: x + 1e-3, TurnsBasis: basis})
		}
		w.Rest(pass.Position{})
		w.End(p)
		tick += int64(turns*turnTime) + 5_000_000_000
		turned += turns
	}
}

func TestWatch_harmonics(t *testing.T) {
	for name, x := range map[string]struct {
		pattern bore.Pattern
		basis   heat.TravelBasis
		passes  int
		turns   float64
		swung
	}{
		"helix, clean":              {bore.Helix, heat.TravelMeasured, 1, 8, swung{}},
		"helix, off-centre":         {bore.Helix, heat.TravelMeasured, 1, 8, swung{once: 0.01, crest: 200}},
		"helix, oval":               {bore.Helix, heat.TravelMeasured, 1, 8, swung{twice: 0.006, narrow: 30}},
		"helix, both":               {bore.Helix, heat.TravelMeasured, 1, 8, swung{once: 0.02, crest: 359, twice: 0.01, narrow: 179}},
		"helix, derived":            {bore.Helix, heat.TravelDerived, 1, 8, swung{once: 0.02, crest: 75}},
		"rings, counted":            {bore.Rings, heat.TravelMeasured, 8, 1, swung{once: 0.02, crest: 120}},
		"rings, declared":           {bore.Rings, heat.TravelDeclared, 8, 1, swung{once: 0.02, crest: 120}},
		"rings, clean":              {bore.Rings, heat.TravelMeasured, 8, 1, swung{}},
		"less than is worth saying": {bore.Helix, heat.TravelMeasured, 1, 8, swung{once: 0.002, twice: 0.0008}},
	} {
		t.Run(name, func(t *testing.T) {
			var told []Sweep
			w := NewWatch(job(x.pattern), func(s Sweep) { told = append(told, s) })
			lay(w, x.basis, 1, 1, x.passes, x.turns, x.swung)
			w.Finish()
			require.Len(t, told, 1)
			require.Equal(t, told, w.Sweeps())
			s := told[0]
			require.True(t, s.OffCentre.Known)
			require.Equal(t, x.once > leastOnce, s.OffCentre.Found)
			require.Equal(t, x.twice > leastTwo, s.Oval.Found)
			if s.OffCentre.Found {
				assert.InDelta(t, 0, float64(bore.AngleDifference(s.OffCentre.Crest, quantity.Degrees(x.crest))), 4*float64(s.OffCentre.CrestDoubt)+0.4)
				assert.InDelta(t, x.once*140/7000, float64(*s.OffCentre.Distance), 3*float64(*s.OffCentre.DistanceDoubt))
			}
			if s.Oval.Found {
				assert.InDelta(t, 0, math.Remainder(float64(s.Oval.Crest)-x.narrow, 180), 4*float64(s.Oval.CrestDoubt)+0.4)
			}
			assert.InDelta(t, x.turns*float64(x.passes), s.Turns, 0.3)
			assert.Equal(t, x.passes, s.Last)
			assert.Equal(t, quantity.Metres(1e-3), s.Depth)
		})
	}
}

func TestWatch_bins(t *testing.T) {
	w := NewWatch(job(bore.Helix), func(Sweep) {})
	lay(w, heat.TravelMeasured, 1, 1, 1, 4, swung{once: 0.1, crest: 180})
	w.Finish()
	s := w.Sweeps()[0]
	for k, b := range s.Bins {
		middle := (float64(k) + 0.5) * 5
		if middle > 80 && middle < 116 {
			assert.Zero(t, b.ArcTime, middle)
			continue
		}
		if middle < 116+40 && middle > 76 {
			continue // left out while the arc settles
		}
		assert.InDelta(t, 140*(1+0.1*math.Cos((middle-180)*math.Pi/180)), float64(b.Current), 1.5, middle)
		assert.InDelta(t, 17, float64(b.Voltage), 1e-9)
		assert.InDelta(t, 0.09, float64(b.WireSpeed), 1e-9)
		assert.InDelta(t, 17*float64(b.Current), float64(b.Power), 1e-6)
	}
	require.Len(t, s.ByTurn, 4)
}

func TestWatch_sweepsAreLayers(t *testing.T) {
	w := NewWatch(job(bore.Rings), func(Sweep) {})
	lay(w, heat.TravelMeasured, 1, 1, 5, 1, swung{once: 0.02, crest: 90})
	lay(w, heat.TravelMeasured, 2, 6, 5, 1, swung{once: 0.02, crest: 200})
	lay(w, heat.TravelMeasured, 3, 11, 5, 1, swung{once: 0.02, crest: 201})
	w.Finish()
	require.Len(t, w.Sweeps(), 3)
	assert.Equal(t, 6, w.Sweeps()[1].First)
	assert.True(t, w.Sweeps()[1].Shifted, "the torch was clamped anew")
	assert.False(t, w.Sweeps()[2].Shifted)
}

// Where a helix goes by its declared rotation nobody knows the angle after a turn.
func TestWatch_declaredHelixHasNoAngle(t *testing.T) {
	w := NewWatch(job(bore.Helix), func(Sweep) { t.Error("told") })
	lay(w, heat.TravelDeclared, 1, 1, 1, 8, swung{once: 0.05})
	w.Finish()
	assert.Empty(t, w.Sweeps())
}
