package analyze

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

// arrivals hands a run what a source says, in one of the orders in which it may come:
// samples in blocks of any length, counts singly or gathered for up to 5 s, the
// samples of their time before them or after them.
type arrivals struct {
	lay
	perTurn  float64
	restart  int64 // tick from which on it is another epoch, in which ticks begin anew
	gathered int64 // longest time for which counts are kept back
	longest  int   // samples of a block
	dice     *rand.Rand
}

// run plays them.
func (a *arrivals) run(t *testing.T) Result {
	t.Helper()
	src := source(a.perTurn)
	r := New(a.job, nil)
	require.NoError(t, r.Source(src))
	a.epoch(t, r, 0, 0, a.restart)
	a.epoch(t, r, 1, a.restart, a.until)
	return r.Finish()
}

// epoch plays the time from one tick to another.
func (a *arrivals) epoch(t *testing.T, r *Run, number int, from, until int64) {
	t.Helper()
	turns := series.Block{Kind: series.Turn, Epoch: number, Ticks: []int64{}}
	send := func() {
		for len(turns.Count) > 0 {
			n := 1 + a.dice.IntN(len(turns.Count))
			part := turns
			part.Tick, part.Ticks, part.Count = turns.Ticks[0], turns.Ticks[:n], turns.Count[:n]
			require.NoError(t, r.Block(&part))
			turns.Ticks, turns.Count = turns.Ticks[n:], turns.Count[n:]
		}
	}
	last, wait := int64(math.MinInt64), int64(0)
	for tick := from; tick < until; {
		b := series.Block{Kind: series.Arc, Epoch: number, Tick: tick - from, Step: a.signal.step}
		for n := 1 + a.dice.IntN(a.longest); n > 0 && tick < until; n-- {
			v, i := a.signal.at(tick)
			b.V, b.I = append(b.V, int32(math.Round(v*100))), append(b.I, int32(math.Round(i*10)))
			if a.signal.turns != nil && a.perTurn > 0 {
				if c := int64(math.Floor(a.signal.turns(tick) * a.perTurn)); c != last {
					turns.Ticks, turns.Count, last = append(turns.Ticks, tick-from), append(turns.Count, c), c
				}
			}
			tick += a.signal.step
		}
		if a.dice.IntN(2) == 0 && wait == 0 {
			send() // before the samples of their time
		}
		require.NoError(t, r.Block(&b))
		if len(turns.Count) > 0 && b.At(b.Len()-1)-turns.Ticks[0] >= wait-int64(a.longest)*a.signal.step {
			send()
			wait = a.dice.Int64N(a.gathered + 1)
		}
	}
	send()
}

// Live and afterwards it comes to the same bits, in whatever order a box says lawfully
// what it has to say: counts singly or gathered, before the samples of their time or
// seconds after them, with a restart in between.
func TestRun_theOrderOfArrivalDoesNotMatter(t *testing.T) {
	if testing.Short() {
		t.Skip("it judges whole jobs many times")
	}
	for name, l := range lays(t) {
		for _, perTurn := range []float64{0, 1, 8, 360} {
			for _, restart := range []int64{0, 31_000 * ms} {
				t.Run(fmt.Sprint(name, " ", perTurn, " ", restart/(1000*ms)), func(t *testing.T) {
					at := func(seed uint64, gathered int64, longest int) *arrivals {
						return &arrivals{l, perTurn, restart, gathered, longest, rand.New(rand.NewPCG(seed, 1))}
					}
					want := at(1, 0, 1).run(t)
					require.NotEmpty(t, want.Passes)
					for seed := range uint64(1 + perTurn/200) {
						require.Equal(t, want, at(2+seed, gatheredMost, 900).run(t), "%d", seed)
					}
				})
			}
		}
	}
}

// gatheredMost is for how long a box may keep counts to itself.
const gatheredMost = 5_000 * ms
