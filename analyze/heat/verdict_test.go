package heat

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
)

// ME-08 (ILAC-G8:09/2019 4.2.2, read): upper limit 100, U 4: accept up to 96.
func TestJudge_isFourWay(t *testing.T) {
	window := quantity.Range[quantity.JoulesPerMetre]{Low: 50, High: 100, HasLow: true, HasHigh: true}
	for value, want := range map[quantity.JoulesPerMetre]Verdict{
		96: Within, 96.01: WithinNearLimit, 100: WithinNearLimit, 100.01: OutsideNearLimit, 104: OutsideNearLimit, 104.01: Outside,
		54: Within, 53.99: WithinNearLimit, 50: WithinNearLimit, 49.99: OutsideNearLimit, 46: OutsideNearLimit, 45.99: Outside,
	} {
		require.Equal(t, want, Judge(value, 4, window, 1), value)
	}
	require.Equal(t, Within, Judge(100, 4, window, 0))
	require.Equal(t, Outside, Judge(100.01, 4, window, 0))
	require.Empty(t, Judge(100, 4, quantity.Range[quantity.JoulesPerMetre]{}, 1))
	window.HasLow = false
	require.Equal(t, Within, Judge(0, 4, window, 1))
	window = quantity.Range[quantity.JoulesPerMetre]{Low: 98, High: 100, HasLow: true, HasHigh: true}
	require.Equal(t, WithinNearLimit, Judge(99, 4, window, 1), "no value of a narrow window can be proved within")
}

// The least expanded uncertainty there is: none at all has the verdict turn on the limit
// itself, and one of a single bit has it turn a bit before and a bit after.
func TestJudge_leastUncertainty(t *testing.T) {
	next := func(x float64, to float64) quantity.JoulesPerMetre {
		return quantity.JoulesPerMetre(math.Nextafter(x, to))
	}
	window := quantity.Range[quantity.JoulesPerMetre]{Low: 64, High: 96, HasLow: true, HasHigh: true}
	bit := next(96, 200) - 96 // of numbers from 64 to 128
	for _, c := range []struct {
		value, expanded quantity.JoulesPerMetre
		want            Verdict
	}{
		{96, 0, Within},
		{96 + bit, 0, Outside},
		{64, 0, Within},
		{next(64, 0), 0, Outside},
		{96 - bit, bit, Within},
		{96, bit, WithinNearLimit},
		{96 + bit, bit, OutsideNearLimit},
		{96 + 2*bit, bit, Outside},
		{64 + bit, bit, Within},
		{64, bit, WithinNearLimit},
		{64 - bit, bit, OutsideNearLimit},
		{64 - 2*bit, bit, Outside},
	} {
		require.Equal(t, c.want, Judge(c.value, c.expanded, window, 1), "%v with U = %v", c.value, c.expanded)
	}
	require.Equal(t, WithinNearLimit, Judge(94, 8, window, 0.25+0x1p-40), "just inside a guard band of 0.25 U")
	require.Equal(t, Within, Judge(94, 8, window, 0.25), "on the guard band")
}

// U is taken at the value, so that it is too small below an upper limit: share 1 and
// u = 5 % give Phi(-2/1.1) = Phi(-1.81818), by tables of the normal distribution 0.03452.
func TestFalseAcceptance_ofAnUncertaintyInProportion(t *testing.T) {
	assert.InDelta(t, 0.034518, float64(FalseAcceptance(1, 0.05)), 5e-7)
	assert.InDelta(t, 0.181651, float64(FalseAcceptance(0.5, 0.1)), 5e-7, "Phi(-1/1.1)")
}

// Property: more uncertainty never turns a doubtful verdict into a sure one, and
// never moves a value over a limit.
func TestJudge_isMonotoneInTheUncertainty(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	for range 5000 {
		low := quantity.JoulesPerMetre(random.Float64())
		window := quantity.Range[quantity.JoulesPerMetre]{
			Low: low, High: low + quantity.JoulesPerMetre(random.Float64()), HasLow: random.IntN(3) > 0, HasHigh: true,
		}
		value, u := quantity.JoulesPerMetre(random.Float64()*2), quantity.JoulesPerMetre(random.Float64())
		share := random.Float64() * 2
		sure := Judge(value, u, window, share)
		doubtful := Judge(value, u*quantity.JoulesPerMetre(1+random.Float64()), window, share)
		switch sure {
		case Within:
			require.Contains(t, []Verdict{Within, WithinNearLimit}, doubtful)
		case Outside:
			require.Contains(t, []Verdict{Outside, OutsideNearLimit}, doubtful)
		default:
			require.Equal(t, sure, doubtful)
		}
	}
}

// Property: a value that is accepted with the full guard band conforms with at
// least the probability that the rule states, on each side.
func TestConformity_agreesWithTheRule(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 6))
	for range 5000 {
		window := quantity.Range[quantity.JoulesPerMetre]{Low: 1, High: 2, HasLow: random.IntN(2) > 0, HasHigh: true}
		value, u := quantity.JoulesPerMetre(random.Float64()*3), quantity.JoulesPerMetre(random.Float64()*0.3)
		p := Conformity(value, u, window)
		require.True(t, p >= -1e-12 && p <= 1, p)
		if Judge(value, CoverageFactor*u, window, 1) == Within {
			require.GreaterOrEqual(t, p, 1-2*float64(FalseAcceptance(1, 0)))
		}
		if Judge(value, CoverageFactor*u, window, 1) == Outside {
			require.LessOrEqual(t, p, float64(FalseAcceptance(1, 0)))
		}
	}
	window := quantity.Range[quantity.JoulesPerMetre]{High: 2, HasHigh: true}
	assert.Equal(t, 1.0, Conformity(2, 0, window))
	assert.Equal(t, 0.0, Conformity(2.1, 0, window))
}

func TestDecisionRule_namesTheGuardBandAndK(t *testing.T) {
	assert.Contains(t, DecisionRule(1, 0), "w = 1 U, U = k*u with the coverage factor k = 2")
	assert.Contains(t, DecisionRule(1, 0), "at most 2.28 % of cases")
	assert.Contains(t, DecisionRule(0, 0), "at most 50.00 % of cases")
	assert.Contains(t, DecisionRule(0.83, 0), "w = 0.83 U")
}

// A verdict that another reading of the samples does not share keeps its side, and is
// not proved.
func TestVerdict_Doubted(t *testing.T) {
	require.Equal(t, WithinNearLimit, Within.Doubted())
	require.Equal(t, OutsideNearLimit, Outside.Doubted())
	for _, v := range []Verdict{WithinNearLimit, OutsideNearLimit, ""} {
		require.Equal(t, v, v.Doubted())
	}
}
