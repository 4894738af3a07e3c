package record

import (
	"math"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/acquire/calib"
	"arctally/acquire/clock"
	"arctally/acquire/series"
)

// sample is one sample of any kind, as it went in or came out.
type sample struct {
	kind    series.Kind
	epoch   int
	broken  bool
	tick    int64
	step    int64
	hasFlag bool
	flag    bool
	v, i    int32
	sum     series.WindowSums
	channel uint8
	bits    uint64 // of the value, so that NaN compares
	count   int64
}

// flatten appends the samples of a block.
func flatten(into []sample, b *series.Block) []sample {
	for k := range b.Len() {
		s := sample{kind: b.Kind, epoch: b.Epoch, broken: b.Break && k == 0, tick: b.At(k), step: b.Step}
		switch b.Kind {
		case series.Arc:
			s.v, s.i, s.hasFlag = b.V[k], b.I[k], b.Flag != nil
			s.flag = s.hasFlag && b.Flag[k]
		case series.Sums:
			s.sum = b.Sum
		case series.Slow:
			s.channel, s.bits = b.Channel[k], math.Float64bits(b.Value[k])
		case series.Turn:
			s.count = b.Count[k]
		}
		into = append(into, s)
	}
	return into
}

// randomBlock makes a block that may or may not continue the one before it.
func randomBlock(r *rand.Rand, kind series.Kind, epoch int, tick int64) series.Block {
	n := 1 + r.IntN(40)
	b := series.Block{Kind: kind, Epoch: epoch, Break: r.IntN(6) == 0, Tick: tick, Step: []int64{0, 100_000, 100_000, 250_000}[r.IntN(4)]}
	if kind == series.Sums {
		n = 1
	}
	if r.IntN(4) == 0 {
		for range n {
			b.Ticks = append(b.Ticks, tick)
			tick += r.Int64N(1_000_000)
		}
	}
	flagged := r.IntN(3) == 0
	for range n {
		switch kind {
		case series.Arc:
			b.V, b.I = append(b.V, int32(r.Uint32())>>r.IntN(20)), append(b.I, int32(r.IntN(2000)))
			if flagged {
				b.Flag = append(b.Flag, r.IntN(2) == 0)
			}
		case series.Sums:
			b.Sum = series.WindowSums{
				Count: r.Uint32(), V: r.Int64(), I: -r.Int64(), VI: r.Int64(), VMin: -5, VMax: math.MaxInt16,
				IMin: math.MinInt16, IMax: 7, ArcOn: r.Uint32(), WireCount: r.Uint32(), Dropped: r.Uint32(),
			}
		case series.Slow:
			b.Channel, b.Value = append(b.Channel, uint8(r.IntN(256))), append(b.Value, math.Float64frombits(r.Uint64()))
		case series.Turn:
			b.Count = append(b.Count, r.Int64()-r.Int64())
		}
	}
	return b
}

func TestGroups_GiveBackWhatWasWritten(t *testing.T) {
	seeds := uint64(12)
	if testing.Short() {
		seeds = 3
	}
	for seed := range seeds {
		path := filepath.Join(t.TempDir(), "job.arc")
		written, events, sources := writeRandomly(t, path, seed)
		require.NoError(t, Verify(path))
		checkGroups(t, path, written, events, sources)
	}
}

func checkGroups(t *testing.T, path string, written map[series.Kind][]sample, events []series.Event, sources []series.Source) {
	t.Helper()
	rd, err := Open(path)
	require.NoError(t, err)
	read := map[series.Kind][]sample{}
	var readEvents []series.Event
	var readSources []series.Source
	for g, err := range rd.Groups() {
		require.NoError(t, err)
		readEvents = append(readEvents, g.Events...)
		readSources = append(readSources, g.Sources...)
		for k := range g.Blocks {
			read[g.Blocks[k].Kind] = flatten(read[g.Blocks[k].Kind], &g.Blocks[k])
		}
		require.True(t, slices.IsSortedFunc(g.Blocks, func(a, b series.Block) int { return late(a.Kind) - late(b.Kind) }),
			"slow and turn come before arc and sums")
	}
	require.NoError(t, rd.Close())
	require.Equal(t, events, readEvents)
	require.Equal(t, sources, readSources)
	for kind := series.Arc; kind <= series.Turn; kind++ {
		require.Equal(t, written[kind], read[kind], "kind %d", kind)
	}
}

func late(k series.Kind) int {
	if k == series.Arc || k == series.Sums {
		return 1
	}
	return 0
}

// Blocks of two kinds come by tick, whatever the order in which they were written;
// at one tick Slow comes before Turn, and Arc before Sums.
func TestGroups_BlocksComeByTick(t *testing.T) {
	w, path := unhurried(t)
	slow := func(tick int64) series.Block {
		return series.Block{Kind: series.Slow, Tick: tick, Channel: []uint8{3}, Value: []float64{1}}
	}
	turn := func(tick int64) series.Block { return series.Block{Kind: series.Turn, Tick: tick, Count: []int64{1}} }
	arc := func(tick int64) series.Block {
		return series.Block{Kind: series.Arc, Tick: tick, Step: 1, V: []int32{1}, I: []int32{1}}
	}
	sums := func(tick int64) series.Block {
		return series.Block{Kind: series.Sums, Tick: tick, Step: 1, Sum: series.WindowSums{Count: 1}}
	}
	for _, b := range []series.Block{sums(3), arc(3), turn(5), arc(8), slow(5), turn(7), sums(6), slow(9), turn(11), sums(12), slow(20)} {
		require.NoError(t, w.Block(&b))
	}
	require.NoError(t, w.Close())
	r, err := Open(path)
	require.NoError(t, err)
	var got []series.Block
	for g, err := range r.Groups() {
		require.NoError(t, err)
		for k := range g.Blocks {
			got = append(got, series.Block{Kind: g.Blocks[k].Kind, Tick: g.Blocks[k].Tick})
		}
	}
	require.NoError(t, r.Close())
	require.Equal(t, []series.Block{
		{Kind: series.Slow, Tick: 5},
		{Kind: series.Turn, Tick: 5},
		{Kind: series.Turn, Tick: 7},
		{Kind: series.Slow, Tick: 9},
		{Kind: series.Turn, Tick: 11},
		{Kind: series.Slow, Tick: 20},
		{Kind: series.Arc, Tick: 3},
		{Kind: series.Sums, Tick: 3},
		{Kind: series.Sums, Tick: 6},
		{Kind: series.Arc, Tick: 8},
		{Kind: series.Sums, Tick: 12},
	}, got)
}

// Windows with ticks of their own, several in a chunk, come back one by one.
func TestGroups_WindowsWithTicks(t *testing.T) {
	w, path := unhurried(t)
	var want []sample
	for k, tick := range []int64{40, 70, 75} {
		b := series.Block{Kind: series.Sums, Step: 3, Ticks: []int64{tick}, Sum: series.WindowSums{Count: uint32(k)}}
		require.NoError(t, w.Block(&b))
		want = flatten(want, &b)
	}
	require.NoError(t, w.Close())
	require.Equal(t, []int64{1}, groupsOf(t, path, "SELECT count(*) FROM chunks WHERE kind = 'sums'"))
	r, err := Open(path)
	require.NoError(t, err)
	var got []sample
	for g, err := range r.Groups() {
		require.NoError(t, err)
		for k := range g.Blocks {
			got = flatten(got, &g.Blocks[k])
		}
	}
	require.NoError(t, r.Close())
	require.Equal(t, want, got)
}

func TestGroups_OneRunOfManyBlocksIsOneBlock(t *testing.T) {
	path := filepath.Join(t.TempDir(), "job.arc")
	w, err := create(path, Meta{}, whenAsked())
	require.NoError(t, err)
	v, i := dippingArc(1000, 1, 1)
	for k := 0; k < 1000; k += 100 {
		require.NoError(t, w.Block(&series.Block{
			Kind: series.Arc, Tick: int64(k) * 100_000, Step: 100_000, V: v[k : k+100], I: i[k : k+100],
		}))
	}
	require.NoError(t, w.Close())
	rd, err := Open(path)
	require.NoError(t, err)
	blocks := 0
	for g, err := range rd.Groups() {
		require.NoError(t, err)
		for _, b := range g.Blocks {
			blocks++
			require.Equal(t, v, b.V)
			require.Equal(t, i, b.I)
			require.Nil(t, b.Ticks)
		}
	}
	require.Equal(t, 1, blocks)
	require.NoError(t, rd.Close())
}

func TestReader_SmallTables(t *testing.T) {
	path := filepath.Join(t.TempDir(), "job ?#%41.arc")
	created := time.Date(2026, 11, 2, 8, 30, 0, 123, time.FixedZone("", 3600))
	m := Meta{Job: "Lower boom pin", Procedure: "DEMO-07 rev 2", Created: created, Documents: map[string]string{
		"job.yaml": "job: Lower boom pin\n", "procedure.yaml": "procedure: DEMO-07 rev 2\n",
	}}
	w, err := Create(path, m)
	require.NoError(t, err)
	k := calib.Calibration{Channel: "voltage", Gain: 1.001, Offset: -0.02, Relative: 0.004, Date: "2026-01-05", Due: "2027-01-05", Certificate: "C-17"}
	fits := []clock.Fit{
		{Epoch: 1, Tick: 5, Wall: created.UTC(), Slope: 1, Arrival: created.Add(time.Millisecond).UTC()},
		{Epoch: 1, Tick: 5e9, Wall: created.Add(10 * time.Second).UTC(), Slope: 1.0001},
	}
	require.NoError(t, w.Calibration(k, 1, 42))
	for _, f := range fits {
		require.NoError(t, w.Clock(f))
	}
	require.NoError(t, w.Close())
	require.NoError(t, w.Close(), "closing again")

	r, err := Open(path)
	require.NoError(t, err)
	defer func() { require.NoError(t, r.Close()) }()
	require.True(t, created.Equal(r.Meta().Created))
	m.Created = r.Meta().Created
	require.Equal(t, m, r.Meta())
	parts, err := r.Parts()
	require.NoError(t, err)
	all, err := r.ClockIn(parts[0])
	require.NoError(t, err)
	require.Equal(t, fits, all)
	got, err := r.Calibrations()
	require.NoError(t, err)
	require.Equal(t, []calib.Timed{{Calibration: k, Epoch: 1, Tick: 42}}, got)
	at, ok := r.WallTime(1, 5e9+1e9)
	require.True(t, ok)
	require.Equal(t, created.Add(10*time.Second+1_000_100*time.Microsecond).UTC(), at, "the newest fit of the epoch")
	_, ok = r.WallTime(0, 5)
	require.False(t, ok, "no fit of that epoch")
}

func TestReader_ExtremesAndBetween(t *testing.T) {
	const n, step = 45_000, 100_000
	path := filepath.Join(t.TempDir(), "job.arc")
	beat := make(chan time.Time)
	w, err := create(path, Meta{}, options{now: time.Now, limit: queueLimit, beat: beat})
	require.NoError(t, err)
	require.NoError(t, w.Source(box()))
	v, i := dippingArc(n, 10, 10)
	const start = 3_300_000_000
	require.NoError(t, w.Block(&series.Block{Kind: series.Slow, Epoch: 2, Tick: start, Channel: []uint8{2, 2, 3}, Value: []float64{0.1, 0.2, 180}}))
	for k := 0; k < n; k += 90 {
		b := series.Block{Kind: series.Arc, Epoch: 2, Tick: start + int64(k)*step, Step: step, V: v[k : k+90], I: i[k : k+90]}
		require.NoError(t, w.Block(&b))
		if k%9000 == 0 {
			beat <- time.Now()
		}
	}
	require.NoError(t, w.Close())

	r, err := Open(path)
	require.NoError(t, err)
	defer func() { require.NoError(t, r.Close()) }()
	spans, err := r.Epochs()
	require.NoError(t, err)
	require.Equal(t, []Span{{Epoch: 2, First: start, Last: start + (n-1)*step, Samples: n + 3}}, spans)

	found, err := r.Extremes([]int{series.CurrentChannel, 2}, 2, math.MinInt64+1, math.MaxInt64, levelOfSecond)
	require.NoError(t, err)
	require.Len(t, found[0], 5, "3.3 s to 7.8 s touch five seconds")
	for _, s := range found[0] {
		from, to := max(0, int((s.Tick-start)/step)), min(n, int((s.Tick+1e9-start)/step))
		require.InDelta(t, float64(slices.Min(i[from:to]))/codesPerAmpere, s.Min, 1e-9)
		require.InDelta(t, float64(slices.Max(i[from:to]))/codesPerAmpere, s.Max, 1e-9)
	}
	require.Equal(t, []Extremes{{Tick: 3e9, Min: 0.1, Max: 0.2}}, found[1])

	seen := 0
	for g, err := range r.Between(2, start+2e9, start+2e9+1) {
		require.NoError(t, err)
		if seen == 0 {
			require.Equal(t, []series.Source{box()}, g.Sources, "in force")
		}
		for k := range g.Blocks {
			if b := &g.Blocks[k]; b.Kind == series.Arc {
				require.LessOrEqual(t, b.At(0), int64(start+2e9))
				require.GreaterOrEqual(t, b.At(b.Len()-1), int64(start+2e9))
				seen++
			}
		}
	}
	require.Equal(t, 1, seen)
}

// Groups that are kept stay as they were while as many more are read, and the one after
// that is in the room of the first.
func TestReader_KeepGroups(t *testing.T) {
	r, err := Open(smallRecord(t))
	require.NoError(t, err)
	const kept = 2
	sum := func(g *Group) (sum int64) {
		for k := range g.Blocks {
			for i := range g.Blocks[k].V {
				sum += int64(i+1) * int64(g.Blocks[k].V[i])
			}
		}
		return sum
	}
	sums := map[int64]int64{}
	for g, err := range r.Groups() {
		require.NoError(t, err)
		sums[g.Number] = sum(g)
	}
	r.KeepGroups(kept)
	var read []*Group
	for g, err := range r.Groups() {
		require.NoError(t, err)
		read = append(read, g)
		for k := max(0, len(read)-1-kept); k < len(read); k++ {
			require.Equal(t, int64(k+1), read[k].Number)
			require.Equal(t, sums[int64(k+1)], sum(read[k]))
		}
	}
	require.Greater(t, len(read), kept+1)
	require.Same(t, read[0], read[kept+1])
	require.NoError(t, r.Close())
}
