package finding

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
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

// Angles within 10 degrees of the mean of the others are one spot: 100 and 110, but not
// 100 and 110.5.
func TestWall_howFarApart(t *testing.T) {
	for apart, want := range map[float64]int{10: 1, 10.5: 0} {
		w := NewWatch(&procedure.Job{})
		disturbed(w, tenTurns(1, heat.TravelMeasured), 0, apart, 0)
		require.Len(t, patches(w), want, apart)
	}
}

// Two findings within half a turn are one meeting with the wall, from half a turn on
// they are two: half of 48 s are 24 s.
func TestWall_oneMeeting(t *testing.T) {
	for between, want := range map[int64]int{24e9 - 1: 2, 24e9: 3} {
		w := NewWatch(&procedure.Job{})
		p := tenTurns(1, heat.TravelMeasured)
		w.ledger.pass = p
		for _, tick := range []int64{0, 48e9, 48e9 + between} {
			w.ledger.add(Finding{Rule: Voltage, Worst: 1, Start: pass.Moment{Tick: tick}, Place: &bore.Place{Angle: 70}})
		}
		endWall(w, p)
		require.Equal(t, want == 3, len(patches(w)) == 1, between)
	}
}

// What a meeting with the wall is not: one in another epoch, which has another clock, and
// one of a pass whose turns are not known, which has no half of a turn.
func TestWall_noMeeting(t *testing.T) {
	w := NewWatch(&procedure.Job{})
	p := tenTurns(1, heat.TravelMeasured)
	w.ledger.pass = p
	for epoch := range 3 {
		w.ledger.add(Finding{Rule: Voltage, Worst: 1, Start: pass.Moment{Epoch: epoch, Tick: 5}, Place: &bore.Place{Angle: 70}})
	}
	endWall(w, p)
	require.Len(t, patches(w), 1)

	for _, turns := range []*float64{nil, new(0.0)} {
		w = NewWatch(&procedure.Job{})
		p = tenTurns(1, heat.TravelMeasured)
		p.Turns = turns
		w.ledger.pass = p
		for k := range int64(3) {
			w.ledger.add(Finding{Rule: Voltage, Worst: 1, Start: pass.Moment{Tick: k}, Place: &bore.Place{Angle: 70}})
		}
		endWall(w, p)
		require.Len(t, patches(w), 1)
	}
}

// Only what a flaw of the wall can break is gathered, of the pass that ends, at a known
// angle; in rings a declared angle is good enough.
func TestWall_whatIsGathered(t *testing.T) {
	for name, c := range map[string]struct {
		edit func(*Finding, *pass.Pass)
		want int
	}{
		"current":           {func(f *Finding, _ *pass.Pass) { f.Rule = Current }, 1},
		"travel":            {func(f *Finding, _ *pass.Pass) { f.Rule = TravelSpeed }, 0},
		"no place":          {func(f *Finding, _ *pass.Pass) { f.Place = nil }, 0},
		"declared, a helix": {func(_ *Finding, p *pass.Pass) { p.TravelBasis = heat.TravelDeclared }, 0},
		"declared, in rings": {func(_ *Finding, p *pass.Pass) {
			p.TravelBasis, p.Pattern = heat.TravelDeclared, bore.Rings
		}, 1},
	} {
		w := NewWatch(&procedure.Job{})
		p := tenTurns(1, heat.TravelMeasured)
		w.ledger.pass = p
		for turn := range int64(3) {
			f := Finding{Rule: Voltage, Worst: 1, Start: pass.Moment{Tick: turn * 48e9}, Place: &bore.Place{Angle: 70}}
			c.edit(&f, p)
			w.ledger.add(f)
		}
		endWall(w, p)
		require.Len(t, patches(w), c.want, name)
	}
}

// The finding about the wall has the first meeting's moment, the mean angle, the
// shallowest place, and is brought up to date with every turn.
func TestWall_theFinding(t *testing.T) {
	w := NewWatch(&procedure.Job{})
	p := tenTurns(7, heat.TravelMeasured)
	p.Layer = 3
	w.ledger.pass = p
	w.ledger.add(Finding{Rule: Interpass, Worst: 1})
	disturbed(w, p, 100, 104, 96, 100)
	f := patches(w)[0]
	require.Equal(t, 6, f.Number, "of six")
	require.Equal(t, []int{2, 3, 4, 5}, f.Parts)
	require.InDelta(t, 100, float64(f.Place.Angle), 1e-9)
	require.Zero(t, f.Place.Depth)
	require.Equal(t, 7, f.Pass)
	require.Equal(t, 3, f.Layer)
	require.Equal(t, w.Found()[1].Start, f.Start)
	require.Equal(t, 3.0, f.Limit)
	require.Equal(t, 1.0, f.Beyond)
	require.Equal(t, "the arc was disturbed on 4 turns at the same angle, 100 deg (+-10), from 0.0 mm to 9.0 mm deep (findings 2, 3, 4, 5); "+
		"this points to the wall, not to the arc: look there for a crack, a hole, slag or an old weld", f.Sentence)
	require.Zero(t, w.Found()[0].PartOf)
	require.Equal(t, 6, w.Found()[4].PartOf)
	disturbed(w, tenTurns(8, heat.TravelMeasured), 100)
	require.Equal(t, 5.0, patches(w)[0].Worst)
	require.Equal(t, 7, patches(w)[0].Pass, "where it was first told")
}

// The depth of a patch is from its shallowest to its deepest finding, whichever comes first.
func TestWall_depth(t *testing.T) {
	w := NewWatch(&procedure.Job{})
	p := tenTurns(1, heat.TravelMeasured)
	w.ledger.pass = p
	for turn, depth := range []quantity.Metres{0.02, 0.05, 0.01} {
		w.ledger.add(Finding{Rule: Voltage, Worst: 1, Start: pass.Moment{Tick: int64(turn) * 48e9}, Place: &bore.Place{Angle: 70, Depth: depth}})
	}
	endWall(w, p)
	require.Contains(t, patches(w)[0].Sentence, "from 10.0 mm to 50.0 mm deep")
	require.Equal(t, quantity.Metres(0.01), patches(w)[0].Place.Depth)
}
