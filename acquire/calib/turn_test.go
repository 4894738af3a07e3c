package calib

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// 3 turns in 144.9 s: 0.02070393 1/s. uN = 1/360/sqrt(3) = 0.00160375 turns, over 3
// 0.000534584; ut = 0.1732051/144.9 = 0.001195342; together 0.001309431.
// Declared 1.25 rpm = 0.02083333: -0.6211180 %, more than twice that. With the
// diameter 0.01/sqrt(3): sqrt(0.001309431^2 + 0.006211180^2 + 0.005773503^2) = 0.00858060.
func TestTimedTurn_byHand(t *testing.T) {
	r := TimedTurn{Turns: []float64{3}, Time: []float64{144.9}, TurnLimits: DefaultTurnLimits, TimeLimits: DefaultTimeLimits, Declared: 1.25 / 60}
	c, err := r.Check()
	require.NoError(t, err)
	wants(t, c, "rotation", 0.02070393, 0.001309431*0.02070393)
	wants(t, c, "beyond_declared", -0.6211180, 0.1309431)
	require.Equal(t, "the torch turns at 1.242 rpm (0.020704 1/s), standard uncertainty 0.13 %; "+
		"that is -0.62 % from the declared 1.25 rpm, more than the doubt: mend the job file or the drive", c.Sentence)
	require.Equal(t, "travel", c.Calibration.Channel)
	require.InDelta(t, 0.00858060, c.Calibration.Relative, 1e-7)
	r.Counted = []float64{2.998}
	c, err = r.Check()
	require.NoError(t, err)
	wants(t, c, "beyond_counted", 100*(3/2.998-1), 0.1309431)
	require.Contains(t, c.Sentence, "counted 1.241 rpm, which is no more than the doubt")
	// 0.2 % off is more than the standard uncertainty, and less than twice it.
	r.Counted = []float64{2.994}
	c, err = r.Check()
	require.NoError(t, err)
	require.Contains(t, c.Sentence, "that is +0.2 % from the counted 1.24 rpm, which is no more than the doubt")
}

// 3 turns in 144 s and 5 in 250 s: together 8/394 = 0.02030457 1/s; by themselves
// 1/48 and 1/50, half their difference over their mean is 1/49, times 13.96773/2:
// 0.1425279. uN = 0.00160375/4 = 0.000400938, ut = 0.1732051/197 = 0.000879213;
// together 0.1425312.
func TestTimedTurn_severalRuns(t *testing.T) {
	r := TimedTurn{Turns: []float64{3, 5}, Time: []float64{144, 250}, TurnLimits: DefaultTurnLimits, TimeLimits: DefaultTimeLimits}
	c, err := r.Check()
	require.NoError(t, err)
	wants(t, c, "rotation", 0.02030457, 0.1425312*0.02030457)
	require.Len(t, c.Outcomes, 1, "there is nothing to hold it against")
	require.Len(t, c.Notes, 1)
}
