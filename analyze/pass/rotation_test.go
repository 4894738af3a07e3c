package pass

import (
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/analyze/heat"
)

func counting(counts ...int64) *rotation { // tick, count, tick, count ...
	r := &rotation{perTurn: 360}
	for k := 0; k < len(counts); k += 2 {
		r.count(counts[k], counts[k+1])
	}
	r.beginPass(0)
	return r
}

func TestRotation_goesOnBetweenCounts(t *testing.T) {
	r := counting(0, 100, 1000, 101, 2000, 102)
	require.Equal(t, heat.TravelMeasured, r.basis())
	require.InDelta(t, 2.5/360, r.at(2500), 1e-12)
	require.InDelta(t, 3.0/360, r.at(9000), 1e-12, "never past the next count")
}

func TestRotation_turnsBack(t *testing.T) {
	r := counting(0, 0, 1000, 5, 2000, 3) // mark 5, and then back over 5 and 4
	require.InDelta(t, 3.5/360, r.at(2250), 1e-12)
	require.InDelta(t, 3.0/360, r.at(9000), 1e-12)
	r.count(10_000, 4) // over mark 4 again
	require.InDelta(t, 4.0/360, r.at(10_000), 1e-12)
}

func TestRotation_standingStillRepeatsItsCount(t *testing.T) {
	r := counting(0, 0, 1000, 1, 500_000, 1)
	require.InDelta(t, 2.0/360, r.at(600_000), 1e-12)
	r.count(700_000, 2)
	require.InDelta(t, 2.0/360, r.at(700_000), 1e-12)
}

func TestRotation_keepsItsAngleOverARestart(t *testing.T) {
	r := counting(0, 0, 1000, 90)
	r.newEpoch(1000)
	require.False(t, r.known())
	r.count(50, 7)
	r.count(60, 8)
	r.beginPass(60)
	require.InDelta(t, 91.0/360, r.at(60), 1e-12)
}

func TestRotation_declaredBeginsWithThePass(t *testing.T) {
	r := &rotation{declared: 1e-9}
	r.beginPass(2_000_000_000)
	require.Equal(t, heat.TravelDeclared, r.basis())
	require.InDelta(t, 1.5, r.at(3_500_000_000), 1e-12)
}

func TestHeldFilter_marksOnlyWhatStoodTooLong(t *testing.T) {
	f := heldFilter{credit: 3, heldAfter: 7}
	var out []Sample
	take := func(s Sample) { out = append(out, s) }
	at := int64(0)
	run := func(v float64, n int) {
		for range n {
			f.add(Sample{Tick: at, V: v}, take)
			at++
		}
	}
	run(1, 3)  // fresh every 3
	run(2, 6)  // twice the same by chance
	run(3, 12) // held
	run(4, 3)
	f.flush(take)
	f.running = false
	run(5, 10) // was there from the beginning
	run(6, 1)
	require.Len(t, out, 35)
	for k, s := range out {
		require.EqualValues(t, k, s.Tick, "in order")
		held := k >= 9+4 && k < 9+12 || k >= 24 && k < 34
		require.Equal(t, held, s.Mark&Held != 0, k)
	}
}
