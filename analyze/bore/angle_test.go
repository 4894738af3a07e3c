package bore

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
)

func TestNormalAngle(t *testing.T) {
	for angle, want := range map[quantity.Degrees]quantity.Degrees{
		0: 0, 359: 359, 360: 0, 361: 1, 725: 5, -1: 359, -360: 0, -725: 355, -1e-20: 0,
	} {
		got := NormalAngle(angle)
		assert.Equal(t, want, got, "%v", angle)
		assert.False(t, math.Signbit(float64(got)), "%v", angle)
	}
}

func TestAngleDifference(t *testing.T) {
	for _, c := range []struct{ a, b, want quantity.Degrees }{
		{10, 350, 20}, {350, 10, -20}, {180, 0, 180}, {0, 180, 180}, {90, 90, 0}, {725, 0, 5}, {0, 181, 179},
	} {
		assert.Equal(t, c.want, AngleDifference(c.a, c.b), "%v from %v", c.a, c.b)
	}
	random := rand.New(rand.NewPCG(5, 5))
	for range 1000 {
		a, b := quantity.Degrees(between(random, -1000, 1000)), quantity.Degrees(between(random, -1000, 1000))
		d := AngleDifference(a, b)
		assert.True(t, d > -180 && d <= 180)
		assert.InDelta(t, 0, float64(AngleDifference(b+d, a)), 1e-9)
	}
}

func TestGap_OverTheReferenceMark(t *testing.T) {
	g := Gap{From: 350, To: 20}
	assert.Equal(t, quantity.Degrees(30), g.Width())
	for angle, in := range map[quantity.Degrees]bool{350: true, 0: true, 19.9: true, 20: false, 349.9: false, 180: false, -5: true, 370: true} {
		assert.Equal(t, in, g.Contains(angle), "%v", angle)
	}
	assert.Equal(t, quantity.Degrees(10), Gap{From: 350, To: 360}.Width())
}

// TestDeposit_GapsAgree counts the angles of a fine circle that lie in a gap.
func TestDeposit_GapsAgree(t *testing.T) {
	d := Deposit{Pattern: Helix, Gaps: []Gap{{80, 116}, {350, 20}}}
	in := 0
	for k := range 3600 {
		if d.InGap(quantity.Degrees(k) / 10) {
			in++
		}
	}
	assert.InDelta(t, 1-float64(in)/3600, float64(d.PlannedArcOnRatio()), 1e-12)
}

func TestPlannedArcOnRatio(t *testing.T) {
	gaps := []Gap{{From: 80, To: 116}}
	for _, c := range []struct {
		deposit Deposit
		want    quantity.Ratio
	}{
		{Deposit{Pattern: Helix, Gaps: gaps}, 0.90}, // the design's own example: 36 of 360 degrees
		{Deposit{Pattern: Rings, Gaps: gaps}, 0.90},
		{Deposit{Pattern: Helix}, 1},
		{Deposit{Pattern: SegmentReversing, Gaps: gaps}, 1},
		{Deposit{Pattern: SegmentOneWay, Gaps: gaps}, 1},
		{Deposit{Pattern: Straight}, 1},
	} {
		assert.InDelta(t, float64(c.want), float64(c.deposit.PlannedArcOnRatio()), 1e-12, "%s", c.deposit.Pattern)
	}
}

func TestLongestGap(t *testing.T) {
	assert.Zero(t, Deposit{}.LongestGap())
	assert.Equal(t, quantity.Degrees(36), Deposit{Gaps: []Gap{{80, 116}, {200, 210}}}.LongestGap())
	assert.Equal(t, quantity.Degrees(40), Deposit{Gaps: []Gap{{340, 360}, {0, 20}}}.LongestGap(), "gaps that touch are one")
	assert.Equal(t, quantity.Degrees(60), Deposit{Gaps: []Gap{{40, 60}, {20, 40}, {0, 20}}}.LongestGap())
}

// Two gaps of 36 and 4 degrees leave 320 of a turn.
func TestDeposit_Welded(t *testing.T) {
	d := Deposit{Gaps: []Gap{{From: 80, To: 116}, {From: 358, To: 2}}}
	for _, c := range []struct{ from, way, want float64 }{
		{0, 0, 0},
		{2, 78, 78},   // up to the gap
		{2, 96, 78},   // half of it
		{98, 36, 18},  // out of it
		{0, 360, 320}, // a turn from anywhere
		{98, 360, 320},
		{98, -360, 320},
		{2, 2*360 + 96, 2*320 + 78},
		{98, -96, 78}, // back again
		{98, -2*360 - 96, 2*320 + 78},
		{350, 20, 16}, // over the reference mark
	} {
		assert.InDelta(t, c.want, float64(d.Welded(quantity.Degrees(c.from), quantity.Degrees(c.way))), 1e-9, "%+v", c)
	}
}

// The short way gives the remainder to the bit: at whole turns, a hair beside them, far away,
// and for what is no angle.
func TestNormalAngle_isTheRemainder(t *testing.T) {
	plain := func(angle float64) float64 {
		a := math.Mod(angle, fullTurn)
		if a < 0 {
			a += fullTurn
		}
		if a >= fullTurn || a == 0 {
			return 0
		}
		return a
	}
	dice := rand.New(rand.NewPCG(3, 6))
	angles := []float64{0, math.Copysign(0, -1), 360, -360, 5e-324, -5e-324, 1e300, -1e300, math.Inf(1), math.Inf(-1), math.NaN(), mostTurns * fullTurn}
	for range 5_000 {
		turns := float64(dice.Int64N(1 << dice.IntN(42)))
		angles = append(angles, turns*360, math.Nextafter(turns*360, 0), math.Nextafter(turns*360, math.Inf(1)), (dice.Float64()-0.5)*math.Exp2(float64(dice.IntN(60))))
	}
	for _, a := range angles {
		for _, a := range []float64{a, -a} {
			require.Equal(t, math.Float64bits(plain(a)), math.Float64bits(float64(NormalAngle(quantity.Degrees(a)))), "%g", a)
		}
	}
}
