package rotation

import (
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/analyze/heat"
	"arctally/analyze/procedure"
)

// s is a second of ticks.
const s = 1_000_000_000

// counting returns a torch in a pass by counts, so many of them a turn; what follows
// are ticks and counts.
func counting(perTurn float64, counts ...int64) *Torch {
	t := NewTorch(&procedure.Job{})
	t.CountsPerTurn(perTurn)
	for k := 0; k < len(counts); k += 2 {
		t.Count(counts[k], counts[k+1])
	}
	t.BeginPass(0)
	return t
}

// at wants the turns at a tick, in counts of the torch.
func at(t *testing.T, torch *Torch, tick int64, counts float64) {
	t.Helper()
	require.InDelta(t, counts, torch.Counts(torch.Dial(tick)), 1e-9)
}

// The torch goes on at the rate of the last two counts, but never past the next one,
// which would have been heard of. The first count stands for no turn.
func TestCounts_goOnBetweenCounts(t *testing.T) {
	torch := counting(360, 0, 100, 1000, 101, 2000, 102)
	require.Equal(t, heat.TravelMeasured, torch.Basis())
	at(t, torch, 2000, 2)
	at(t, torch, 2500, 2.5)
	at(t, torch, 3000, 3)
	at(t, torch, 9000, 3)
	at(t, torch, 1500, 2)
}

// Before there is a rate the torch is where its last count was.
func TestCounts_oneCountAlone(t *testing.T) {
	torch := counting(360, 500, 77)
	at(t, torch, 0, 0)
	at(t, torch, 9000, 0)
}

func TestCounts_anticlockwise(t *testing.T) {
	torch := counting(360, 0, 100, 1000, 99, 2000, 98)
	at(t, torch, 2500, -2.5)
	at(t, torch, 9000, -3)
}

// A torch that turns back first passes the mark that it passed last: the count falls
// by one where it has not turned at all.
func TestCounts_turnBack(t *testing.T) {
	torch := counting(360, 0, 0, 1000, 5, 2000, 3) // mark 5, and then back over 5 and 4
	at(t, torch, 2000, 4)
	at(t, torch, 2250, 3.5)
	at(t, torch, 9000, 3)
	torch.Count(10_000, 4) // over mark 4 again
	at(t, torch, 10_000, 4)
	torch.Count(11_000, 3)
	at(t, torch, 11_000, 4)
}

// A torch that stands still repeats its count; one that comes late, or twice at one
// tick, says nothing new.
func TestCounts_thatSayNothing(t *testing.T) {
	torch := counting(360, 0, 0, 1000, 1, 500_000, 1)
	at(t, torch, 600_000, 2)
	torch.Count(700_000, 2)
	at(t, torch, 700_000, 2)
	torch.Count(700_000, 9)
	torch.Count(600_000, 9)
	at(t, torch, 700_000, 2)
}

// One count a turn, and one every other turn, tell whole turns: what is between them
// is the rate of the last two.
func TestCounts_fewerThanOneATurn(t *testing.T) {
	for perTurn, turns := range map[float64]float64{1: 3.25, 0.5: 6.5} {
		torch := counting(perTurn, 0, 7, 10*s, 8, 20*s, 9, 30*s, 10)
		require.InDelta(t, turns, torch.At(32*s+s/2).Turns, 1e-12)
		require.InDelta(t, 4/perTurn, torch.At(90*s).Turns, 1e-12, "a whole count ahead, and no more")
	}
}

// Ticks may lie before 0.
func TestCounts_beforeTickZero(t *testing.T) {
	torch := counting(360, -3000, 5, -2000, 6, -1000, 7)
	at(t, torch, -1500, 2)
	at(t, torch, -500, 2.5)
	at(t, torch, 0, 3)
}

// The angle is kept over a restart, where the counter begins anew; a pass before the
// first new count goes by it, and stands still.
func TestCounts_restart(t *testing.T) {
	torch := counting(360, 0, 0, 1000, 90)
	torch.Epoch(1000)
	require.False(t, torch.Measured())
	require.False(t, torch.Known())
	require.False(t, torch.Counted())
	torch.BeginPass(40)
	require.True(t, torch.Measured())
	at(t, torch, 40, 90)
	torch.Count(50, 7)
	require.True(t, torch.Counted())
	at(t, torch, 55, 90)
	torch.Count(60, 8)
	torch.BeginPass(60)
	at(t, torch, 60, 91)
	torch.Epoch(60)
	torch.Epoch(60)
	torch.BeginPass(0)
	at(t, torch, 0, 91)
}

// What the torch is taken to have gone on since its last count is kept as well.
func TestCounts_restartBetweenCounts(t *testing.T) {
	torch := counting(360, 0, 0, 1000, 1)
	torch.Epoch(1500)
	torch.BeginPass(0)
	at(t, torch, 0, 1.5)
}

// A rate does not reach over a restart.
func TestCounts_restartForgetsTheRate(t *testing.T) {
	torch := counting(360, 0, 0, 1000, 1)
	torch.Epoch(1000)
	torch.Count(50, 7)
	torch.BeginPass(50)
	at(t, torch, 9000, 1)
	torch.Count(60, 6) // nor does the way it turned
	at(t, torch, 60, 0)
}

// A counter without a description tells no angle, until it is described.
func TestCounts_notDescribed(t *testing.T) {
	torch := counting(0, 0, 5, 1000, 95)
	require.False(t, torch.Measured())
	torch.Epoch(1000)
	torch.Count(10, 0)
	torch.Count(20, 90)
	torch.CountsPerTurn(360)
	torch.BeginPass(20)
	require.InDelta(t, 0.25, torch.Dial(20), 1e-12)
	torch.CountsPerTurn(0)
	require.Zero(t, torch.Dial(20), "it is taken for nothing, and for no number at all")
	require.Zero(t, torch.Account(0.25, s).Uncertainty)
	torch.CountsPerTurn(360)
	require.InDelta(t, 0.25, torch.Dial(20), 1e-12)
}

func TestCounts_noneNoPass(t *testing.T) {
	torch := counting(360)
	require.False(t, torch.Measured())
	require.False(t, torch.Counted())
	require.Equal(t, Turned{}, torch.At(5))
}

// Where data is missing, what a count says of the time in it does not reach back to
// the last sample before: that one keeps the turns it had.
func TestTorch_Keep(t *testing.T) {
	torch := counting(360, 0, 0, 1000, 1, 2000, 2)
	require.InDelta(t, 2.5, torch.Counts(torch.Kept(2500)), 1e-9, "nothing is kept")
	torch.Keep(2500)
	torch.Count(60_000, 90)
	at(t, torch, 2500, 90)
	require.InDelta(t, 2.5, torch.Counts(torch.Kept(2500)), 1e-9)
	require.InDelta(t, 90, torch.Counts(torch.Kept(2501)), 1e-9)
	torch.Keep(2500) // again, for another count at once
	require.InDelta(t, 2.5, torch.Counts(torch.Kept(2500)), 1e-9)
	torch.Keep(60_000)
	torch.Count(61_000, 95)
	require.InDelta(t, 90, torch.Counts(torch.Kept(60_000)), 1e-9)
	torch.Epoch(61_000)
	torch.Count(60_000, 0)
	torch.BeginPass(60_000)
	require.InDelta(t, 95, torch.Counts(torch.Kept(60_000)), 1e-9, "nothing is kept from another clock")
}
