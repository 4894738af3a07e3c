package digest

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

// Worked out by hand, in cells of 10 ms.
func TestGatherer_ByHand(t *testing.T) {
	var g Gatherer
	g.Add(&series.Block{Kind: series.Arc, Tick: -5_000_000, Step: 5_000_000, V: []int32{1, -2, 3}, I: []int32{10, 20, 30}}, 0)
	g.Add(&series.Block{Kind: series.Arc, Tick: 12_500_000, Step: 5_000_000, V: []int32{4}, I: []int32{40}}, 0) // 7.5 ms later: it follows
	g.Add(&series.Block{Kind: series.Arc, Tick: 20_000_001, Step: 5_000_000, V: []int32{5}, I: []int32{50}}, 0) // one tick more
	g.Add(&series.Block{Kind: series.Arc, Tick: 21_000_000, Step: 5_000_000, Break: true, V: []int32{6}, I: []int32{60}}, 0)
	d, samples := g.Take()
	require.Equal(t, 6, samples)
	require.Equal(t, []Cell{
		{Index: -1, Count: 1, Low: 1, High: 1, Sum: 1, Product: 10},
		{Index: 0, Count: 2, Low: -2, High: 3, Sum: 1, Product: 50},
		{Index: 1, Count: 1, Low: 4, High: 4, Sum: 4, Product: 160},
		{Index: 2, Count: 2, Breaks: 2, Low: 5, High: 6, Sum: 11, Product: 610},
	}, d.Of(series.VoltageChannel))
	require.Equal(t, []Cell{
		{Index: -1, Count: 1, Low: 1, High: 1, Sum: 1, Product: 10},
		{Index: 0, Count: 5, Breaks: 2, Low: -2, High: 6, Sum: 16, Product: 820},
	}, d.Coarser().Of(series.VoltageChannel), "-10 ms is in the cell before 0")
	d, samples = g.Take()
	require.Empty(t, d)
	require.Zero(t, samples)
	g.Add(&series.Block{Kind: series.Arc, Tick: 22_000_000, Step: 500, V: []int32{6}, I: []int32{60}}, 1_000_000)
	d, _ = g.Take()
	require.Zero(t, d.Of(series.VoltageChannel)[0].Breaks, "it follows what the digest before was of")
}

func TestGatherer_SlowValues(t *testing.T) {
	var g Gatherer
	g.Add(&series.Block{Kind: series.Slow, Ticks: []int64{1, 2, 3, 4}, Channel: []uint8{1, 2, 2, 2}, Value: []float64{9, math.NaN(), 1.5, -1.5}, Break: true}, 0)
	g.Add(&series.Block{Kind: series.Slow, Ticks: []int64{5}, Channel: []uint8{3}, Value: []float64{7}}, 0)
	d, samples := g.Take()
	require.Zero(t, samples)
	require.Equal(t, Digest{
		{2, []Cell{{Count: 2, Breaks: 1, Low: -1.5, High: 1.5}}}, {3, []Cell{{Count: 1, Breaks: 1, Low: 7, High: 7}}},
	}, d)
}

// arc is a block of samples at random.
func arc(r *rand.Rand, tick int64) series.Block {
	b := series.Block{Kind: series.Arc, Tick: tick, Step: 1 + r.Int64N(30_000_000), Break: r.IntN(5) == 0}
	for range 1 + r.IntN(50) {
		b.V, b.I = append(b.V, int32(r.Uint32())>>r.IntN(32)), append(b.I, int32(r.Uint32())>>r.IntN(32))
	}
	if r.IntN(3) == 0 {
		for range b.V {
			tick += r.Int64N(40_000_000) - 5_000_000
			b.Ticks = append(b.Ticks, tick)
		}
	}
	return b
}

// decoded is a packed digest with all its channels, in memory of its own.
func decoded(content []byte) (Digest, error) {
	return new(Decoder).Decode(content, func(int) bool { return true })
}

// However the samples are divided, all levels come to the same, and come back packed.
func TestDigest_AnyDivision(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 200 {
		var one, many Gatherer
		var joined [Levels]Digest
		tick := r.Int64N(1e12) - 5e11
		for range 1 + r.IntN(12) {
			b := arc(r, tick)
			tick = b.At(b.Len()-1) + b.Step
			one.Add(&b, 20_000_000)
			many.Add(&b, 20_000_000)
			if r.IntN(2) == 0 {
				merge(&joined, &many)
			}
		}
		merge(&joined, &many)
		whole, _ := one.Take()
		for level := range Levels {
			require.Equal(t, whole, joined[level], "level %d", level)
			back, err := decoded(whole.Append(nil, true))
			require.NoError(t, err)
			require.Equal(t, whole, back)
			back, err = decoded(whole.Append(nil, false))
			require.NoError(t, err)
			for k := range whole {
				for i := range whole[k].Cells {
					want := whole[k].Cells[i]
					want.Sum, want.Product = 0, 0
					require.Equal(t, want, back[k].Cells[i])
				}
			}
			whole = whole.Coarser()
		}
	}
}

func merge(into *[Levels]Digest, g *Gatherer) {
	d, _ := g.Take()
	for level := range Levels {
		into[level].Merge(d)
		d = d.Coarser()
	}
}

// A decoder that is used again gives what a new one does, of the channels that are wanted.
func TestDecoder_IsUsedAgain(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	var again Decoder
	var g Gatherer
	tick := int64(0)
	for round := range 100 {
		for range r.IntN(4) {
			b := arc(r, tick)
			tick = b.At(b.Len()-1) + b.Step
			g.Add(&b, 0)
		}
		if r.IntN(2) == 0 {
			g.Add(&series.Block{Kind: series.Slow, Ticks: []int64{tick, tick + 1}, Channel: []uint8{2, 4}, Value: []float64{1.5, 2}}, 0)
		}
		d, _ := g.Take()
		content := d.Append(nil, round%2 == 0)
		want, err := decoded(content)
		require.NoError(t, err)
		for _, channel := range []int{-1, 0, 1, 2, 3, 4} {
			wanted := func(c int) bool { return c == channel || channel < 0 }
			got, err := again.Decode(content, wanted)
			require.NoError(t, err)
			require.Len(t, got, len(slices.DeleteFunc(slices.Clone(want), func(c Channel) bool { return !wanted(c.Number) })))
			for k := range got {
				require.Equal(t, want.Of(got[k].Number), got[k].Cells)
			}
		}
	}
}

// The bytes are worked out by hand from the table of columns in FORMAT.md.
func TestAppend_WritesWhatTheFormatSays(t *testing.T) {
	d := Digest{{0, []Cell{
		{Index: 258, Count: 100, Low: -2, High: 300, Sum: -150, Product: 3},
		{Index: 260, Count: 99, Breaks: 1, Low: 1, High: 1, Sum: 99, Product: 2},
	}}}
	head := []byte{0, 6, 2, 0, 0, 0, 2, 1, 0, 0, 0, 0, 0, 0}
	require.Equal(t, append(head,
		1, 0, 1, // 260 less 258 less 1
		1, 200, 1, // 100, then -1
		1, 0, 1,
		1, 3, 6, // -2, then 3
		2, 0x2e, 0, 1, 0, // 302 = 0x12e, then 0
		1, 100, 0, // -150 + 200 = 50, then 0
		1, 6, 1, // 3, then -1
	), d.Append(nil, true))
	values := Digest{{2, []Cell{{Count: 1, Low: 1.5, High: 1.5}}}}
	require.Equal(t, []byte{2, 1, 1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 1, 2, 0, 8, 0, 0, 0, 0, 0, 0, 0xf8, 0x3f, 0}, values.Append(nil, true))
}

// Whatever the bytes, decoding gives cells that samples could come to, or refuses them.
func FuzzDecode(f *testing.F) {
	var g Gatherer
	r := rand.New(rand.NewPCG(1, 2))
	for range 5 {
		b := arc(r, 7)
		g.Add(&b, 0)
	}
	d, _ := g.Take()
	f.Add(d.Append(nil, true))
	f.Add(d.Append(nil, false))
	f.Add(Digest{{2, []Cell{{Count: 1, Low: 1.5, High: 1.5}}}}.Append(nil, true))
	f.Add([]byte{0, 0, 0xff, 0xff, 0x0f, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0})
	f.Fuzz(func(t *testing.T, content []byte) {
		d, err := decoded(content)
		if err != nil {
			require.ErrorIs(t, err, ErrContent)
			return
		}
		for k := range d {
			require.True(t, k == 0 || d[k].Number > d[k-1].Number)
			for i, c := range d[k].Cells {
				require.True(t, c.Count >= 1 && c.Low <= c.High && c.Breaks >= 0 && c.Breaks <= c.Count)
				require.True(t, i == 0 || c.Index > d[k].Cells[i-1].Index)
			}
		}
	})
}

func TestDecode_Refuses(t *testing.T) {
	one := Digest{{0, []Cell{{Count: 1, Low: 1, High: 1}}}}.Append(nil, false)
	for cut := 1; cut < len(one); cut++ {
		_, err := decoded(one[:cut])
		require.ErrorIs(t, err, ErrContent, "cut to %d bytes", cut)
	}
	_, err := decoded(append(one, one...))
	require.ErrorIs(t, err, ErrContent, "a channel twice")
	for name, d := range map[string]Digest{
		"no samples": {{0, []Cell{{Low: 1, High: 1}}}}, "more breaks than samples": {{0, []Cell{{Count: 1, Breaks: 2}}}},
		"no number": {{2, []Cell{{Count: 1, Low: math.NaN(), High: 1}}}}, "upside down": {{2, []Cell{{Count: 1, Low: 1.5, High: 0.5}}}},
	} {
		_, err := decoded(d.Append(nil, true))
		require.ErrorIs(t, err, ErrContent, name)
	}
}
