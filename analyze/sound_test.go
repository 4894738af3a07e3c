package analyze

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
)

// laidBy is a bead of 20 s at 18 V and 140 A of a torch that turns at 1.25 rpm with 360
// counts a turn, as blocks of half a second; change may change the source and each block.
func laidBy(t *testing.T, source0 func(*series.Source), change func(*series.Block)) Result {
	t.Helper()
	src := source(360)
	if source0 != nil {
		source0(&src)
	}
	r := New(boreJob(bore.Helix), nil)
	require.NoError(t, r.Source(src))
	for k := range int64(50) {
		turn := series.Block{Kind: series.Turn, Ticks: []int64{k * 500 * ms}, Count: []int64{k * 360 * 125 / 100 / 120}}
		amperes := int32(0)
		if k < 40 {
			amperes = 1400
		}
		arc := series.Block{Kind: series.Arc, Tick: k * 500 * ms, Step: ms, V: slices.Repeat([]int32{1800}, 500), I: slices.Repeat([]int32{amperes}, 500)}
		for _, b := range []*series.Block{&turn, &arc} {
			if change != nil {
				change(b)
			}
			require.NoError(t, r.Block(b))
		}
	}
	result := r.Finish()
	require.Empty(t, result.impossible(false))
	return result
}

// impossibilities joins what the warnings of things that cannot be say.
func impossibilities(r Result) string {
	var all []string
	for _, w := range r.Warnings {
		if w.Kind == "impossible" {
			all = append(all, w.Text)
		}
	}
	return strings.Join(all, "\n")
}

// What a source cannot be is said, and not used; the rest goes on.
func TestSound_source(t *testing.T) {
	good := laidBy(t, nil, nil)
	require.Len(t, good.Passes, 1)
	require.Equal(t, heat.TravelMeasured, good.Passes[0].TravelBasis)
	require.Empty(t, impossibilities(good))
	for name, c := range map[string]struct {
		change func(*series.Source)
		says   string
	}{
		"counts a turn next to none": {func(s *series.Source) { s.CountsPerTurn = 1e-300 }, "a turn has 1e-300 counts: its turn counts are not used"},
		"counts a turn no number":    {func(s *series.Source) { s.CountsPerTurn = math.NaN() }, "a turn has NaN counts"},
		"counts a turn below none":   {func(s *series.Source) { s.CountsPerTurn = -360 }, "a turn has -360 counts"},
		"wire without end":           {func(s *series.Source) { s.WirePerCount = math.Inf(1) }, "a count is +Inf m of wire"},
		"a time below 0":             {func(s *series.Source) { s.MaxStep = -7 }, "a time of -7 ns"},
	} {
		t.Run(name, func(t *testing.T) {
			r := laidBy(t, c.change, nil)
			require.Contains(t, impossibilities(r), c.says)
			require.Len(t, r.Passes, 1)
			require.InDelta(t, float64(good.Passes[0].Energy), float64(r.Passes[0].Energy), 1e-6)
		})
	}
	for name, change := range map[string]func(*series.Source){
		"scale without end": func(s *series.Source) { s.Channels[0].Scale = 1e300 },
		"no scale":          func(s *series.Source) { s.Channels[1].Scale = 0 },
		"offset no number":  func(s *series.Source) { s.Channels[1].Offset = math.NaN() },
		"offset far":        func(s *series.Source) { s.Channels[0].Offset = math.Inf(-1) },
	} {
		t.Run(name, func(t *testing.T) {
			r := laidBy(t, change, nil)
			require.Empty(t, r.Passes, "without a value there is no arc")
			require.Contains(t, impossibilities(r), "its voltage and current are not used")
			require.Contains(t, impossibilities(r), "samples of voltage and current have no value")
		})
	}
}

// What a source says that cannot be leaves the doubt of what was measured before as it was.
func TestSound_stepThatIsNone(t *testing.T) {
	lay := func(step float64) float64 {
		r := New(boreJob(bore.Helix), nil)
		require.NoError(t, r.Source(source(360)))
		turn := series.Block{Kind: series.Turn, Ticks: []int64{0, 10_000 * ms}, Count: []int64{0, 75}}
		arc := series.Block{Kind: series.Arc, Step: ms, V: slices.Repeat([]int32{1800}, 10_000), I: slices.Repeat([]int32{1400}, 10_000)}
		require.NoError(t, r.Block(&turn))
		require.NoError(t, r.Block(&arc))
		src := source(360)
		src.Channels[series.CurrentChannel].Scale *= step
		require.NoError(t, r.Source(src))
		arc.Tick, arc.I = 10_000*ms, make([]int32, 10_000)
		require.NoError(t, r.Block(&arc))
		result := r.Finish()
		require.Empty(t, result.impossible(false))
		require.Len(t, result.Passes, 1)
		b := result.Passes[0].Budget
		k := slices.IndexFunc(b, func(c heat.Component) bool { return c.Name == heat.CurrentResolution })
		require.NotEqual(t, -1, k)
		return b[k].Uncertainty
	}
	require.InEpsilon(t, lay(1), lay(1e302), 1e-3)
}

// A block that cannot be is left out, and what is around it does not join over it.
func TestSound_blocks(t *testing.T) {
	good := laidBy(t, nil, nil).Passes[0]
	third := func(kind series.Kind, change func(*series.Block)) func(*series.Block) {
		n := 0
		return func(b *series.Block) {
			if b.Kind != kind {
				return
			}
			if n++; n == 3 {
				change(b)
			}
		}
	}
	for name, c := range map[string]struct {
		kind   series.Kind
		change func(*series.Block)
		lost   float64 // s of arc
		says   string
	}{
		"a tick beyond time":  {series.Arc, func(b *series.Block) { b.Tick = math.MaxInt64 - 5 }, 0.501, "times that are none"},
		"steps beyond time":   {series.Arc, func(b *series.Block) { b.Step = math.MaxInt64 / 100 }, 0.501, "times that are none"},
		"steps backwards":     {series.Arc, func(b *series.Block) { b.Step = -1 }, 0.501, "times that are none"},
		"no current":          {series.Arc, func(b *series.Block) { b.I = b.I[:7] }, 0.501, "no voltage, current or flag"},
		"a flag is missing":   {series.Arc, func(b *series.Block) { b.Flag = make([]bool, 3) }, 0.501, "no voltage, current or flag"},
		"a bolt of lightning": {series.Arc, func(b *series.Block) { b.V = slices.Clone(b.V); b.V[100] = math.MaxInt32 }, 0.002, "beyond any voltage or current"},
		"a count far away":    {series.Turn, func(b *series.Block) { b.Count[0] += 1 << 40 }, 0, "jump further than a torch can have turned"},
		"a count below all":   {series.Turn, func(b *series.Block) { b.Count[0] = math.MinInt64 }, 0, "jump further than a torch can have turned"},
		"an epoch before":     {series.Arc, func(b *series.Block) { b.Epoch = -1 }, 0.501, "after the next one had begun"},
	} {
		t.Run(name, func(t *testing.T) {
			r := laidBy(t, nil, third(c.kind, c.change))
			require.Contains(t, impossibilities(r), c.says)
			require.Len(t, r.Passes, 1)
			p := r.Passes[0]
			require.InDelta(t, float64(good.ArcTime)-c.lost, float64(p.ArcTime), 2e-3)
			require.InDelta(t, float64(good.Energy)-c.lost*18*140, float64(p.Energy), 6)
			require.InEpsilon(t, *good.Turns, *p.Turns, 0.03)
			require.InEpsilon(t, float64(*good.Travel), float64(*p.Travel), 0.05)
		})
	}
}

// A counter that jumps, and goes on from there, goes on from where it was.
func TestSound_counterJumps(t *testing.T) {
	good := laidBy(t, nil, nil).Passes[0]
	n := 0
	r := laidBy(t, nil, func(b *series.Block) {
		if b.Kind == series.Turn {
			if n++; n > 10 {
				b.Count[0] += 1 << 40
			}
		}
	})
	require.Contains(t, impossibilities(r), "jump further than a torch can have turned")
	require.InEpsilon(t, *good.Turns, *r.Passes[0].Turns, 0.1, "what it turned in a second is not known")
	require.Less(t, *r.Passes[0].Turns, *good.Turns)
}

// Counts of another number in a turn, on the same clock, are not used: the turns so far
// stay what they were.
func TestSound_anotherCounter(t *testing.T) {
	var s sound
	s.speaks(source(360))
	turn := func(epoch int, tick, count int64) *series.Block {
		return s.block(&series.Block{Kind: series.Turn, Epoch: epoch, Ticks: []int64{tick}, Count: []int64{count}})
	}
	require.NotNil(t, turn(0, 0, 720))
	require.InDelta(t, 360, s.speaks(source(1)).CountsPerTurn, 0)
	require.Nil(t, turn(0, 1000, 721))
	require.NotNil(t, turn(1, 0, 3))
	require.Len(t, s.left, 1)
}

// Windows that lie over one another count no time twice: of ten windows of 1 s at 18 V
// and 140 A that follow every 0.5 s, those that begin within the one before are not used.
func TestSound_windows(t *testing.T) {
	window := func(start int64, arcOn uint32) *series.Block {
		const n = 1000
		return &series.Block{Kind: series.Sums, Tick: start, Step: ms, Sum: series.WindowSums{Count: n, V: n * 1800, I: n * 1400, VI: n * 1800 * 1400, ArcOn: arcOn}}
	}
	r := New(boreJob(bore.Helix), nil)
	require.NoError(t, r.Source(source(0)))
	for k := range int64(11) {
		require.NoError(t, r.Block(window(k*500*ms, 1000)))
	}
	require.NoError(t, r.Block(window(20_000*ms, 1001)))
	huge := window(30_000*ms, 1)
	huge.Step = 1_000_000_000
	require.NoError(t, r.Block(huge))
	product := window(40_000*ms, 1)
	product.Sum.VI = math.MaxInt64
	require.NoError(t, r.Block(product))
	result := r.Finish()
	require.Empty(t, result.impossible(false))
	require.Len(t, result.Passes, 1)
	require.InDelta(t, 6, float64(result.Passes[0].ArcTime), 1e-9)
	require.InDelta(t, 6*18*140, float64(result.Passes[0].Energy), 1e-6)
	require.InDelta(t, 1, float64(result.Passes[0].ArcOnRatio), 1e-9)
	require.Contains(t, impossibilities(result), "more in them than their samples can hold")
	require.Contains(t, impossibilities(result), "one of more than 60 s")
}

// Readings that are no numbers are left out, one by one.
func TestSound_readings(t *testing.T) {
	var s sound
	s.speaks(source(360))
	b := &series.Block{Kind: series.Slow, Tick: 5, Step: 10, Channel: []uint8{2, 2, 3}, Value: []float64{0.1, math.NaN(), 20}}
	clean := s.block(b)
	require.Equal(t, []float64{0.1, 20}, clean.Value)
	require.Equal(t, []uint8{2, 3}, clean.Channel)
	require.Equal(t, []int64{5, 25}, clean.Ticks)
	require.True(t, math.IsNaN(b.Value[1]), "what was handed in is not touched")
	require.Len(t, s.left, 1)
	b.Channel = b.Channel[:1]
	b.Value = b.Value[:1]
	b.Channel = nil
	require.Nil(t, s.block(b))
	sane := &series.Block{Kind: series.Slow, Channel: []uint8{2}, Value: []float64{0.1}}
	require.Same(t, sane, s.block(sane))
}

// Each invariant is missed when it does not hold.
func TestImpossible(t *testing.T) {
	for name, c := range map[string]struct {
		change func(*Result)
		says   string
	}{
		"arc time":    {func(r *Result) { r.Passes[0].ArcTime *= 2 }, "s of arc time in 19.99"},
		"arc-on":      {func(r *Result) { r.Passes[0].ArcOnRatio = 1.77 }, "an arc-on ratio of 1.77"},
		"energy":      {func(r *Result) { r.Passes[0].Energy *= 1.75 }, "by its mean power"},
		"parts":       {func(r *Result) { r.Profiles[0].Bins[3].Energy += 5 }, "in their parts"},
		"arc parts":   {func(r *Result) { r.Profiles[0].Bins[3].Arc += 5 }, "s in their parts"},
		"wall":        {func(r *Result) { r.Map.Beyond.ArcTime += 5 }, "of arc on the wall"},
		"no number":   {func(r *Result) { r.Passes[0].Energy = 0; *r.Passes[0].Travel = -1 }, "a path of -1 m"},
		"infinite":    {func(r *Result) { *r.Passes[0].HeatInput /= 0 }, "no number for its heat input: +Inf"},
		"numbering":   {func(r *Result) { r.Passes[0].Number = 2 }, "has number 2 in place 1"},
		"order":       {func(r *Result) { r.Passes[0].End.Tick = -1 }, "ends before it begins"},
		"below 0":     {func(r *Result) { r.Passes[0].GapTime = -1 }, "times below 0"},
		"uncertainty": {func(r *Result) { *r.Passes[0].ExpandedUncertainty = -1 }, "an uncertainty below 0"},
	} {
		t.Run(name, func(t *testing.T) {
			r := laidBy(t, nil, nil)
			c.change(&r)
			require.Contains(t, strings.Join(r.impossible(false), "\n"), c.says)
		})
	}
	r := laidBy(t, nil, nil)
	r.Profiles[0].Bins[3].Energy += 5
	require.Empty(t, r.impossible(true), "the pass under way has more parts than there are passes")
}
