package arc

import (
	"testing"

	"github.com/stretchr/testify/require"
)

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
	f.inRow = false
	run(5, 10) // was there from the beginning
	run(6, 1)
	require.Len(t, out, 35)
	for k, s := range out {
		require.EqualValues(t, k, s.Tick, "in order")
		held := k >= 9+4 && k < 9+12 || k >= 24 && k < 34
		require.Equal(t, held, s.Mark&Held != 0, k)
	}
}
