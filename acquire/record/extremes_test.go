package record

import (
	"fmt"
	"math"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/record/digest"
	"arctally/acquire/series"
)

// beforeZero makes a record that begins 2.5 s before tick 0: samples of voltage and
// current every half second, k as the code of the k-th and -k as its current.
func beforeZero(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "job.arc")
	w, err := Create(path, Meta{})
	require.NoError(t, err)
	require.NoError(t, w.Source(box()))
	b := series.Block{Kind: series.Arc, Tick: -2_500_000_000, Step: 500_000_000}
	for k := range int32(8) {
		b.V, b.I = append(b.V, 100*k), append(b.I, -10*k)
	}
	require.NoError(t, w.Block(&b))
	slow := series.Block{
		Kind: series.Slow, Ticks: []int64{-1_000_000_001, -1_000_000_000, -1, 0, 1},
		Channel: []uint8{3, 3, 3, 3, 3}, Value: []float64{1, 2, 3, 4, 5},
	}
	require.NoError(t, w.Block(&slow))
	require.NoError(t, w.Close())
	return path
}

// Worked out by hand: second s holds the ticks from s*10^9 up to the next, also
// before tick 0, where a division that cuts off would put two seconds into one.
func TestExtremes_BeforeTickZero(t *testing.T) {
	r, err := Open(beforeZero(t))
	require.NoError(t, err)
	volts := []Extremes{ // samples at -2.5; -2, -1.5; -1, -0.5; 0, 0.5; 1 s, further apart than the source says
		{-3e9, 0, 0, false}, {-2e9, 1, 2, true}, {-1e9, 3, 4, true}, {0, 5, 6, true}, {1e9, 7, 7, true},
	}
	for _, test := range []struct {
		from, until int64
		want        []Extremes
	}{
		{math.MinInt64, math.MaxInt64, volts},
		{-3e9, 2e9, volts},
		{-2e9, 0, volts[1:3]},
		{-2e9 - 1, 1, volts[0:4]},
		{-1, 0, volts[2:3]},
		{0, 1, volts[3:4]},
		{0, 0, nil},
		{2e9, 3e9, nil},
	} {
		got, err := r.Extremes([]int{series.VoltageChannel}, 0, test.from, test.until, levelOfSecond)
		require.NoError(t, err)
		require.Equal(t, test.want, got[0], "%d to %d", test.from, test.until)
	}
	found, err := r.Extremes([]int{3, series.CurrentChannel}, 0, math.MinInt64, math.MaxInt64, levelOfSecond)
	require.NoError(t, err)
	require.Equal(t, []Extremes{{-2e9, 1, 1, false}, {-1e9, 2, 3, false}, {0, 4, 5, false}}, found[0])
	require.Equal(t, Extremes{-2e9, -2, -1, true}, found[1][1])
	found, err = r.Extremes([]int{3}, 1, math.MinInt64, math.MaxInt64, levelOfSecond)
	require.NoError(t, err)
	require.Equal(t, [][]Extremes{nil}, found)
	require.NoError(t, r.Close())
}

// A stretch is widened to whole cells as far as ticks go.
func TestWholeCells(t *testing.T) {
	const second = nanosPerSecond
	for _, test := range [][4]int64{
		{0, second, 0, second},
		{1, second + 1, 0, 2 * second},
		{-1, 1, -second, second},
		{-second, -second + 1, -second, 0},
		{math.MinInt64, math.MaxInt64, math.MinInt64, math.MaxInt64},
		{math.MinInt64 + 1, math.MaxInt64 - 1, math.MinInt64 + 1, math.MaxInt64 - 1},
		{math.MinInt64 + second + 1, math.MaxInt64 - second - 1, -9_223_372_036 * second, 9_223_372_036 * second},
	} {
		from, until := wholeCells(test[0], test[1], second)
		require.Equal(t, [2]int64{test[2], test[3]}, [2]int64{from, until}, "%d to %d", test[0], test[1])
	}
}

// drawer writes a record at random: samples of two boxes at many paces, with gaps short
// and long, ticks that step back, reboots, descriptions with other scales and stops, and
// however long the commit groups are.
type drawer struct {
	t     *testing.T
	r     *rand.Rand
	path  string
	w     *Writer
	boxes [2]struct {
		epoch int
		tick  int64
	}
	next int
}

func drawnRecord(t *testing.T, seed uint64, steps int) string {
	d := &drawer{t: t, r: rand.New(rand.NewPCG(seed, 3)), path: filepath.Join(t.TempDir(), fmt.Sprintf("drawn-%d.arc", seed))}
	var err error
	d.w, err = create(d.path, Meta{Job: "drawn"}, whenAsked())
	require.NoError(t, err)
	d.begin()
	for range steps {
		d.step()
	}
	require.NoError(t, d.w.Close())
	return d.path
}

// begin describes both boxes, each in an epoch of its own.
func (d *drawer) begin() {
	for k := range d.boxes {
		d.boxes[k].epoch, d.boxes[k].tick = d.next, d.r.Int64N(2e11)-1e11
		d.next++
		require.NoError(d.t, d.w.Source(d.source(k)))
	}
}

func (d *drawer) source(k int) series.Source {
	s := box()
	s.Box = k
	s.Channels[0].Scale = []float64{0.01, -0.02, 0.1}[d.r.IntN(3)]
	s.MaxStep = []int64{0, 150_000, 50_000_000}[d.r.IntN(3)]
	return s
}

func (d *drawer) step() {
	k := d.r.IntN(2)
	at := &d.boxes[k]
	switch d.r.IntN(20) {
	case 0:
		at.tick += []int64{3e7, 5e9, 3e11, 4e12, 2e13}[d.r.IntN(5)]
	case 1:
		at.tick -= d.r.Int64N(3e9)
	case 2:
		if d.r.IntN(4) == 0 {
			require.NoError(d.t, d.w.Source(d.source(k)))
		}
	case 3:
		if d.r.IntN(4) == 0 {
			at.epoch, at.tick = d.next, d.r.Int64N(1e10)
			d.next++
		}
	case 4:
		if d.r.IntN(6) == 0 {
			require.NoError(d.t, d.w.Close())
			var err error
			d.w, err = appendTo(d.path, whenAsked())
			require.NoError(d.t, err)
			if d.r.IntN(2) == 0 { // else the first box goes on in its epoch
				at.epoch = d.next
				d.next++
			}
			d.boxes[1].epoch = d.next
			d.next++
			require.NoError(d.t, d.w.Source(d.source(1)))
		}
	case 5, 6, 7, 8:
		require.NoError(d.t, d.w.Sync())
	default:
		d.samples(k)
	}
}

// samples writes a block.
func (d *drawer) samples(k int) {
	at, r := &d.boxes[k], d.r
	n := 1 + r.IntN(3000)
	b := series.Block{Kind: series.Arc, Box: k, Epoch: at.epoch, Tick: at.tick, Step: []int64{100_000, 100_000, 1_000_000, 9_999_999, 40_000_000}[r.IntN(5)], Break: r.IntN(8) == 0}
	switch kind := r.IntN(10); {
	case kind == 0:
		b.Kind = series.Sums
		b.Sum = series.WindowSums{Count: uint32(1 + r.IntN(200)), V: r.Int64N(1e6), I: r.Int64N(1e6), VI: r.Int64N(1e9), VMin: int16(r.IntN(100)), VMax: int16(r.IntN(300)), IMin: 3, IMax: 2}
		n = int(b.Sum.Count)
	case kind == 1:
		b.Kind, n = series.Slow, 1+n/100
		for range n {
			b.Channel, b.Value = append(b.Channel, uint8(1+r.IntN(3))), append(b.Value, math.Round(r.NormFloat64()*100)/8)
		}
		b.Value[r.IntN(n)] = math.NaN()
	default:
		b.V, b.I = make([]int32, n), make([]int32, n)
		for s := range n {
			b.V[s], b.I[s] = int32(r.IntN(4000)-500), int32(r.IntN(1<<r.IntN(18)))
		}
		if kind == 2 {
			b.Step = 0
			for range n {
				at.tick += r.Int64N(60_000_000) - 3_000_000
				b.Ticks = append(b.Ticks, at.tick)
			}
		}
	}
	require.NoError(d.t, d.w.Block(&b))
	at.tick += int64(n) * b.Step
}

// place is a cell of a channel.
type place struct {
	epoch, channel int
	index          int64
}

// cellsOf takes the extremes of every cell of a level from all samples of a record.
func cellsOf(t *testing.T, path string, level int) map[place]Extremes {
	t.Helper()
	r, err := Open(path)
	require.NoError(t, err)
	found := map[place]Extremes{}
	length := digest.Length(level)
	take := func(epoch, channel int, tick int64, values ...float64) {
		at := place{epoch, channel, int64(math.Floor(float64(tick) / float64(length)))}
		e, there := found[at]
		if !there {
			e = Extremes{Tick: at.index * length, Min: math.Inf(1), Max: math.Inf(-1)}
		}
		for _, v := range values {
			e.Min, e.Max = min(e.Min, v), max(e.Max, v)
		}
		found[at] = e
	}
	sources := map[int]series.Source{}
	for g, err := range r.Groups() {
		require.NoError(t, err)
		for _, s := range g.Sources {
			sources[s.Box] = s
		}
		for k := range g.Blocks {
			b := &g.Blocks[k]
			scale := func(c int, code float64) float64 {
				own := sources[b.Box].Channels[c]
				return code*own.Scale + own.Offset
			}
			switch b.Kind {
			case series.Arc:
				for n := range b.V {
					take(b.Epoch, 0, b.At(n), scale(0, float64(b.V[n])))
					take(b.Epoch, 1, b.At(n), scale(1, float64(b.I[n])))
				}
			case series.Sums:
				for c := range 2 {
					low, high := b.Sum.Extremes(c)
					take(b.Epoch, c, b.Tick, scale(c, low), scale(c, high))
				}
			case series.Slow:
				for n, value := range b.Value {
					if c := int(b.Channel[n]); c > 1 && !math.IsNaN(value) {
						take(b.Epoch, c, b.At(n), value)
					}
				}
			}
		}
	}
	require.NoError(t, r.Close())
	return found
}

// The extremes of any window are those of its samples to the bit, whatever the groups,
// and clean digests are what the samples come to.
func TestExtremes_AreThoseOfTheSamples(t *testing.T) {
	seeds, steps := uint64(3), 300
	if testing.Short() {
		seeds, steps = 1, 150
	}
	levels := map[int64]bool{}
	for seed := range seeds {
		path := drawnRecord(t, seed, steps)
		require.NoError(t, Verify(path), "seed %d", seed)
		for _, level := range groupsOf(t, path, "SELECT DISTINCT level FROM digests") {
			levels[level] = true
		}
		r, err := Open(path)
		require.NoError(t, err)
		random := rand.New(rand.NewPCG(seed, 9))
		for level := range Coarsest + 1 {
			want := cellsOf(t, path, level)
			spans, err := r.Epochs()
			require.NoError(t, err)
			for _, span := range spans {
				requireWindow(t, r, want, span, math.MinInt64, math.MaxInt64, level)
				for range 5 {
					from := span.First + random.Int64N(span.Last-span.First+1)
					requireWindow(t, r, want, span, from, from+1+random.Int64N(span.Last-span.First+1), level)
				}
			}
		}
		require.NoError(t, r.Close())
	}
	if !testing.Short() {
		require.Len(t, levels, Coarsest+1, "rows of every level were tried")
	}
}

// requireWindow holds a window against the cells of all samples.
func requireWindow(t *testing.T, r *Reader, want map[place]Extremes, span Span, from, until int64, level int) {
	t.Helper()
	channels := []int{series.CurrentChannel, 3, series.VoltageChannel, 2}
	got, err := r.Extremes(channels, span.Epoch, from, until, level)
	require.NoError(t, err)
	length := digest.Length(level)
	for k, channel := range channels {
		var expected []Extremes
		for at, e := range want {
			if at.epoch == span.Epoch && at.channel == channel && e.Tick < until && (from < e.Tick || from-e.Tick < length) {
				expected = append(expected, e)
			}
		}
		slices.SortFunc(expected, func(a, b Extremes) int { return int(a.Tick/10_000_000 - b.Tick/10_000_000) })
		for i := range got[k] {
			got[k][i].Broken = false
		}
		require.Equal(t, expected, got[k], "epoch %d, channel %d, %d to %d, level %d", span.Epoch, channel, from, until, level)
	}
}
