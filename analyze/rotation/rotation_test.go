package rotation

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/heat"
	"arctally/analyze/procedure"
)

// declared returns a torch in a pass that began at a tick, half a turn a second.
func declared(tick int64) *Torch {
	t := NewTorch(&procedure.Job{Rotation: procedure.Rotation{Speed: 0.5}})
	t.BeginPass(tick, true)
	return t
}

// The dial begins with each pass, on whichever side of tick 0 that is.
func TestTorch_declared(t *testing.T) {
	torch := declared(2 * s)
	require.True(t, torch.Known())
	require.False(t, torch.Measured())
	require.Equal(t, Turned{0.75, heat.TravelDeclared}, torch.At(3*s+s/2))
	require.InDelta(t, 0.5, float64(torch.Speed()), 1e-15)
	torch.BeginPass(-4*s, true)
	require.Equal(t, Turned{1, heat.TravelDeclared}, torch.At(-2*s))
	require.InDelta(t, -1, torch.At(-6*s).Turns, 1e-12)
}

// A counter that is heard of long after the strike is for the next pass, but for who
// looks ahead.
func TestTorch_goesByOneFromBeginningToEnd(t *testing.T) {
	torch := declared(0)
	torch.CountsPerTurn(360)
	torch.Count(20*s, 0)
	torch.Count(21*s, 90)
	torch.Pass(21*s, 21*s)
	require.Equal(t, Turned{10.5, heat.TravelDeclared}, torch.At(21*s))
	torch.BeginPass(21*s, true)
	require.Equal(t, Turned{0, heat.TravelMeasured}, torch.At(21*s))
	torch.BeginPass(0, true)
	torch = declared(0)
	torch.CountsPerTurn(360)
	torch.GoByCounts(2 * s)
	require.False(t, torch.Measured(), "there are none yet")
	torch.Count(2*s, 0)
	torch.Count(3*s, 90)
	torch.Pass(3*s, 3*s)
	torch.GoByCounts(3 * s)
	require.InDelta(t, 1.5, torch.At(3*s).Turns, 1e-12, "from where it was taken to be")
	torch.Count(4*s, 180)
	require.InDelta(t, 1.75, torch.At(4*s).Turns, 1e-12)
	require.True(t, torch.Measured())
}

func TestTorch_nothingKnown(t *testing.T) {
	torch := NewTorch(&procedure.Job{})
	torch.BeginPass(0, true)
	require.False(t, torch.Known())
	require.Equal(t, Turned{}, torch.At(s))
	require.Equal(t, Turned{}, torch.Of(0.5))
	require.Zero(t, torch.Speed())
}

// Dial turns are set right by the derived rotation, counted ones are not.
func TestTorch_derived(t *testing.T) {
	torch := declared(0)
	torch.derived = estimate{order: 0.8, uncertainty: 0.004, wander: 0.01, from: FromGaps}
	require.Equal(t, Turned{0.4, heat.TravelDerived}, torch.At(s))
	require.Equal(t, Turned{1.6, heat.TravelDerived}, torch.Of(2))
	require.InDelta(t, 0.5, torch.Dial(s), 1e-15)
	require.InDelta(t, 0.4, float64(torch.Speed()), 1e-15)
	require.InDelta(t, 0.005, torch.Doubt(), 1e-15)
	torch.measured = true
	require.InDelta(t, 2, torch.Turns(2), 1e-15)
	require.Equal(t, heat.TravelMeasured, torch.Basis())
	torch.BeginPass(0, true)
	require.Equal(t, heat.TravelDeclared, torch.Basis(), "another pass")
}

// 2.5 turns in 50 s; either end is known as sharply as a mark:
//
//	n = 2.5/50 s = 0.05/s    u = sqrt(2)*0.3/360/50 s
func TestTorch_Account_counted(t *testing.T) {
	torch := counting(360, 0, 0, s, 1)
	a := torch.Account(2.5, 50*s)
	require.InDelta(t, 0.05, float64(a.Speed), 1e-15)
	require.InDelta(t, math.Sqrt2*0.3/360/50, float64(a.Uncertainty), 1e-9)
	a.Speed, a.Uncertainty = 0, 0
	rest := Account{Basis: heat.TravelMeasured, From: FromCounts, Angle: ByStrike, Unevenness: torch.unseen()}
	require.Equal(t, rest, a)
	require.Equal(t, rest, torch.Account(2.5, 0), "in no time")
}

func TestTorch_Account_declared(t *testing.T) {
	torch := declared(0)
	require.False(t, torch.Settle())
	require.Equal(t, Account{Speed: 0.5, Declared: 0.5, Basis: heat.TravelDeclared, From: FromPlan, Angle: ByPlan, Unevenness: torch.unseen()}, torch.Account(3, 50*s))
}

func TestTorch_Account_derived(t *testing.T) {
	torch := declared(0)
	torch.derived = estimate{order: 0.8, uncertainty: 0.004, wander: 0.01, from: FromCurrent}
	torch.rhythm.searched, torch.rhythm.turns = true, 6.5
	a := torch.Account(3, 50*s)
	require.InDelta(t, 0.4, float64(a.Speed), 1e-15)
	require.InDelta(t, 0.002, float64(a.Uncertainty), 1e-15)
	require.InDelta(t, 3.6, float64(a.Wander), 1e-12)
	require.Equal(t, quantity.TurnsPerSecond(0.5), a.Declared)
	require.Equal(t, FromCurrent, a.From)
	require.Equal(t, heat.TravelDerived, a.Basis)
	require.InDelta(t, 6.5, a.Searched, 1e-15)
}

// With an unevenness of 8 %, once a turn, all of it is missed in a turn without counts,
// and 1 - sin(pi/8)/(pi/8) = 0.0255 of it between two of 8; over the square root of 2.
func TestTorch_unseen(t *testing.T) {
	require.InDelta(t, 0.08/math.Sqrt2, float64(declared(0).unseen()), 1e-12)
	require.InDelta(t, 0.08/math.Sqrt2, float64(counting(1, 0, 0).unseen()), 1e-12)
	require.InDelta(t, 0.08/math.Sqrt2*0.02551, float64(counting(8, 0, 0).unseen()), 1e-6)
}
