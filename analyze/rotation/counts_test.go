package rotation

import (
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/analyze/heat"
	"arctally/analyze/procedure"
)

func counting(counts ...int64) *Torch { // tick, count, tick, count ...
	t := NewTorch(&procedure.Job{})
	t.CountsPerTurn(360)
	for k := 0; k < len(counts); k += 2 {
		t.Count(counts[k], counts[k+1])
	}
	t.BeginPass(0)
	return t
}

func TestRotation_goesOnBetweenCounts(t *testing.T) {
	r := counting(0, 100, 1000, 101, 2000, 102)
	require.Equal(t, heat.TravelMeasured, r.Basis())
	require.InDelta(t, 2.5/360, r.Dial(2500), 1e-12)
	require.InDelta(t, 3.0/360, r.Dial(9000), 1e-12, "never past the next count")
}

func TestRotation_turnsBack(t *testing.T) {
	r := counting(0, 0, 1000, 5, 2000, 3) // mark 5, and then back over 5 and 4
	require.InDelta(t, 3.5/360, r.Dial(2250), 1e-12)
	require.InDelta(t, 3.0/360, r.Dial(9000), 1e-12)
	r.Count(10_000, 4) // over mark 4 again
	require.InDelta(t, 4.0/360, r.Dial(10_000), 1e-12)
}

func TestRotation_standingStillRepeatsItsCount(t *testing.T) {
	r := counting(0, 0, 1000, 1, 500_000, 1)
	require.InDelta(t, 2.0/360, r.Dial(600_000), 1e-12)
	r.Count(700_000, 2)
	require.InDelta(t, 2.0/360, r.Dial(700_000), 1e-12)
}

func TestRotation_keepsItsAngleOverARestart(t *testing.T) {
	r := counting(0, 0, 1000, 90)
	r.Epoch(1000)
	require.False(t, r.Known())
	r.Count(50, 7)
	r.Count(60, 8)
	r.BeginPass(60)
	require.InDelta(t, 91.0/360, r.Dial(60), 1e-12)
}

func TestRotation_declaredBeginsWithThePass(t *testing.T) {
	r := NewTorch(&procedure.Job{Rotation: procedure.Rotation{Speed: 1}})
	r.BeginPass(2_000_000_000)
	require.Equal(t, heat.TravelDeclared, r.Basis())
	require.InDelta(t, 1.5, r.Dial(3_500_000_000), 1e-12)
}
