package review

import (
	"context"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/jobfile/jobtest"
)

// absurd writes a record of what no link lets in any more: 20 s of arc, by a source and
// blocks that are changed, and windows of sums that lie over one another after it.
func absurd(t *testing.T, source func(*series.Source), block func(*series.Block)) string {
	t.Helper()
	p, err := jobfile.Read(jobtest.Short(t, "helix", jobtest.OneTurn))
	require.NoError(t, err)
	file := filepath.Join(t.TempDir(), "absurd.arctally")
	w, err := p.CreateRecord(file, time.Date(2031, 3, 4, 5, 6, 7, 0, time.UTC))
	require.NoError(t, err)
	src := series.Source{
		Name: "box", Serial: "1", Link: "binary", CountsPerTurn: 360,
		Channels: []series.Channel{
			{Name: "voltage", Unit: "V", Scale: 0.01, Basis: series.Instantaneous},
			{Name: "current", Unit: "A", Scale: 0.1, Basis: series.Instantaneous},
			{Name: "wire_speed", Unit: "m/s", Scale: 1},
		},
	}
	if source != nil {
		source(&src)
	}
	require.NoError(t, w.Source(src))
	const ms = 1_000_000
	for k := range int64(60) {
		arc := series.Block{Kind: series.Arc, Tick: k * 500 * ms, Step: ms, V: make([]int32, 500), I: make([]int32, 500)}
		for n := range arc.V {
			arc.V[n], arc.I[n] = 1800, 1400
		}
		turn := series.Block{Kind: series.Turn, Ticks: []int64{k * 500 * ms}, Count: []int64{k * 360 / 96}}
		sums := series.Block{Kind: series.Sums, Tick: (35 + k) * 1000 * ms, Step: ms, Sum: series.WindowSums{
			Count: 2000, V: 2000 * 1800, I: 2000 * 1400, VI: 2000 * 1800 * 1400, ArcOn: 2000, VMin: 1800, VMax: 1800, IMin: 1400, IMax: 1400,
		}}
		for _, b := range []*series.Block{&turn, &arc, &sums} {
			if (b.Kind == series.Sums) != (k >= 40) {
				continue
			}
			if block != nil {
				block(b)
			}
			require.NoError(t, w.Block(b))
		}
	}
	require.NoError(t, w.Close())
	return file
}

// A record that holds what cannot be opens, says so, and claims nothing that cannot be.
func TestJudge_absurdRecord(t *testing.T) {
	for name, c := range map[string]struct {
		source func(*series.Source)
		block  func(*series.Block)
		says   string
	}{
		"windows that overlap":       {nil, nil, "stood before the latest time stamp"},
		"counts a turn next to none": {func(s *series.Source) { s.CountsPerTurn = 1e-300 }, nil, "a turn has 1e-300 counts"},
		"counts a turn without end":  {func(s *series.Source) { s.CountsPerTurn = math.MaxFloat64 }, nil, "its turn counts are not used"},
		"scale without end":          {func(s *series.Source) { s.Channels[0].Scale = 1e300 }, nil, "its voltage and current are not used"},
		"offset without end":         {func(s *series.Source) { s.Channels[1].Offset = -1e300 }, nil, "its voltage and current are not used"},
		"a unit of something else":   {func(s *series.Source) { s.Channels[2].Unit = "degC" }, nil, `channel "wire_speed" is not used`},
		"a counter that jumps": {nil, func(b *series.Block) {
			if b.Kind == series.Turn && b.Ticks[0] > 5e9 {
				b.Count[0] += 1 << 40
			}
		}, "turn counts jump further"},
		"ticks below 0": {nil, func(b *series.Block) {
			if b.Kind != series.Turn {
				b.Tick -= 20_000_000_000
			}
		}, ""},
		"ticks that fall": {nil, func(b *series.Block) {
			if b.Kind == series.Arc && b.Tick == 5_000_000_000 {
				b.Tick = 1_000_000_000
			}
		}, "stood before the latest time stamp"},
		"codes beyond everything": {nil, func(b *series.Block) {
			if b.Kind == series.Arc {
				b.I[7] = math.MinInt32
			}
		}, "beyond any voltage or current"},
	} {
		t.Run(name, func(t *testing.T) {
			r, err := Judge(context.Background(), absurd(t, c.source, c.block), "", func(float64) {})
			require.NoError(t, err)
			defer func() { require.NoError(t, r.Close()) }()
			said := ""
			for _, w := range r.Result.Warnings {
				require.NotEqual(t, "program-error", w.Kind, w.Text)
				said += w.Text + "\n"
			}
			require.Contains(t, said, c.says)
			arc := 0.0
			for _, p := range r.Result.Passes {
				require.LessOrEqual(t, float64(p.ArcOnRatio), 1.0)
				require.LessOrEqual(t, float64(p.Energy), float64(p.ArcTime)*18*140*(1+1e-9))
				arc += float64(p.ArcTime)
			}
			require.LessOrEqual(t, arc, 20.0+22)
		})
	}
}

// Whatever bytes of a record change: it opens and is judged, or is refused; nothing that
// it says cannot be.
func TestJudge_anyBytesChanged(t *testing.T) {
	random := rand.New(rand.NewPCG(9, 21))
	judged := 0
	for _, name := range []string{"version-2-capture", "version-2-box"} {
		whole, err := os.ReadFile("../../../testdata/record/" + name + ".arctally")
		require.NoError(t, err)
		for range changed {
			text := slices.Clone(whole)
			for range 1 + random.IntN(20) {
				text[random.IntN(len(text))] = byte(random.Uint32())
			}
			file := filepath.Join(t.TempDir(), "any.arctally")
			require.NoError(t, os.WriteFile(file, text, 0o600))
			r, err := Judge(context.Background(), file, "", func(float64) {})
			if err != nil {
				continue
			}
			judged++
			for _, w := range r.Result.Warnings {
				require.NotEqual(t, "program-error", w.Kind, w.Text)
			}
			require.NoError(t, r.Close())
		}
	}
	require.NotZero(t, judged, "not all of them are refused")
}

// changed is how many copies of each record are changed.
const changed = 30
