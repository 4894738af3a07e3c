package analyze

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/acquire/series"
	"arctally/analyze/bore"
	"arctally/analyze/note"
	"arctally/analyze/rotation"
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

// What a person says of the torch after a pass holds for it as well: an analysis that
// begins with what an earlier one heard comes to the same, whenever it was said.
func TestRun_saidAfterwards(t *testing.T) {
	l := lays(t)["rings"]
	said := note.Note{By: "Operator 1", Tick: 52_000 * ms, TorchAt: new(quantity.Degrees(77))}.Event()
	first := l.start(t)
	feed(t, first, l.signal, l.until, always(500))
	require.NoError(t, first.Event(said))
	before := first.Finish()
	require.Equal(t, rotation.ByStrike, before.Passes[0].Rotation.Angle)
	heard, late := first.Heard()
	require.True(t, late)
	again := l.start(t)
	again.Begin(heard)
	require.NoError(t, again.Event(said), "it comes once more with the record")
	feed(t, again, l.signal, l.until, always(90))
	after := again.Finish()
	_, late = again.Heard()
	require.False(t, late)
	require.Len(t, after.Passes, len(before.Passes))
	turned := after.Passes[0].StartPlace.Angle - before.Passes[0].StartPlace.Angle
	for k, p := range after.Passes {
		require.Equal(t, rotation.BySaid, p.Rotation.Angle)
		require.Equal(t, "Operator 1", p.Rotation.Said.By)
		more := p.StartPlace.Angle - before.Passes[k].StartPlace.Angle
		require.InDelta(t, 0, float64(bore.AngleDifference(more, turned)), 1e-6)
		require.InDelta(t, float64(before.Passes[k].Energy), float64(p.Energy), 0)
	}
	require.InDelta(t, 77, float64(after.Passes[1].StartPlace.Angle), 10, "it stood there a second before")
	early := l.start(t)
	require.NoError(t, early.Event(said))
	feed(t, early, l.signal, l.until, always(700))
	require.Equal(t, rotation.BySaid, early.Finish().Passes[2].Rotation.Angle)
}

// start begins a run of a lay.
func (l lay) start(t *testing.T) *Run {
	t.Helper()
	r := New(l.job, nil)
	require.NoError(t, r.Source(l.source))
	return r
}

// Who looks ahead sees an arc at once, and a counter as soon as it speaks; what a person
// says turns the picture at once.
func TestRun_ahead(t *testing.T) {
	l := lays(t)["helix"]
	for name, r := range map[string]*Run{"ahead": NewAhead(l.job, nil), "settled": New(l.job, nil)} {
		require.NoError(t, r.Source(source(1)))
		b := series.Block{Kind: series.Arc, Step: ms}
		for k := range int64(5000) {
			v, i := l.signal.at(k * ms)
			b.V, b.I = append(b.V, int32(math.Round(v*100))), append(b.I, int32(math.Round(i*10)))
		}
		require.NoError(t, r.Block(&b))
		require.Equal(t, name == "ahead", r.Now().ArcOn, name)
	}
}
