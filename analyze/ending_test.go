package analyze

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
	"arctally/analyze/note"
)

func endOfPass(tick int64) series.Event {
	return note.Note{By: "Operator 1", Tick: tick, EndOfPass: true}.Event()
}

// A person ends a pass: where the arc burns at the end of its interval, else at
// once. Handed in before everything, or just before its time, it gives the same bits.
func TestRun_endOfPassByHand(t *testing.T) {
	if testing.Short() {
		t.Skip("it judges whole jobs many times")
	}
	burning, between := int64(30_000*ms), int64(60_000*ms) // in the first turn, and in the gap of the second
	for name, c := range map[string]struct {
		at   int64
		ends float64 // turns
	}{"while the arc burns": {burning, 1 + 80.0/360}, "in a gap": {between, 1 + 80.0/360}} {
		for _, which := range []string{"helix", "helix declared"} {
			t.Run(name+" "+which, func(t *testing.T) {
				l := lays(t)[which]
				want := l.run(t, always(1<<30), unwatched, endOfPass(c.at))
				require.Len(t, want.Passes, 2)
				p, rest := want.Passes[0], want.Passes[1]
				require.Equal(t, "Operator 1", p.EndedBy)
				require.InDelta(t, c.ends, *p.Turns, 0.003)
				require.Equal(t, 1, rest.Layer)
				require.Equal(t, 1, rest.Course.Resumes)
				require.Empty(t, rest.EndedBy)
				require.Len(t, want.Notes, 1)
				for _, n := range []int{1, 333, 2000} {
					told := false
					size := n
					got := l.run(t, func() int { return size }, func(r *Run) {
						if at := int64(0); r.order.any {
							at = r.order.newest
							size = n
							if left := (c.at - 1*ms - at) / ms; left > 0 && left < int64(n) {
								size = int(left) // so that a block ends right before it
							}
							if !told && at >= c.at-1*ms {
								told = true
								require.NoError(t, r.Event(endOfPass(c.at)))
							}
						}
					})
					require.True(t, told)
					require.Equal(t, want, got)
				}
			})
		}
	}
	l := lays(t)["helix"]
	none := l.run(t, always(1000), unwatched, endOfPass(-5), endOfPass(213_000*ms), note.Note{By: "O", Epoch: 3, Tick: burning, EndOfPass: true}.Event())
	require.Len(t, none.Passes, 1, "where no pass is under way nothing ends")
	require.Empty(t, none.Passes[0].EndedBy)
	require.InDelta(t, 4, math.Abs(*none.Passes[0].Turns), 0.005)
}
