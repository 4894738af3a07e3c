package sensorbox

import (
	"bytes"
	"crypto/sha256"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/link"
	"arctally/acquire/quantity"
	"arctally/acquire/series"
)

// decoded is what a decoder makes of a box's bytes.
type decoded struct {
	readings, lost   int
	boots            []uint16
	source           *series.Source
	samples          []sample
	sums             []series.Block
	turns            []sample
	hellos           []int64
	longestTurnDelay int64
}

func decode(t *testing.T, p Plan) (decoded, Truth) {
	t.Helper()
	box, err := New(p)
	require.NoError(t, err)
	var stream bytes.Buffer
	truth, err := box.Write(t.Context(), &stream)
	require.NoError(t, err)
	d, err := link.New(nameOnWire(p.Link))
	require.NoError(t, err)
	var out decoded
	var next uint32
	var now int64
	d.Decode(stream.Bytes(), func(r *link.Reading, err error) {
		require.NoError(t, err)
		out.readings++
		if n := len(out.boots); n == 0 || out.boots[n-1] != r.Boot {
			out.boots = append(out.boots, r.Boot)
			next, now = 0, 0
		}
		out.lost += int(r.Seq - next)
		next = r.Seq + 1
		if r.Source != nil {
			out.source = r.Source
			out.hellos = append(out.hellos, r.Tick)
		}
		for _, b := range r.Blocks {
			now = max(now, b.At(b.Len()-1))
			out.take(b, now)
		}
	})
	return out, truth
}

func nameOnWire(name string) string {
	if name == LinkSums || name == "" {
		return link.Binary
	}
	return name
}

func (d *decoded) take(b series.Block, now int64) {
	switch b.Kind {
	case series.Arc:
		for k := range b.V {
			d.samples = append(d.samples, sample{tick: b.At(k), epoch: len(d.boots) - 1, v: float64(b.V[k]), i: float64(b.I[k])})
		}
	case series.Sums:
		d.sums = append(d.sums, b)
	case series.Turn:
		for k := range b.Count {
			d.turns = append(d.turns, sample{tick: b.At(k), v: float64(b.Count[k])})
		}
		d.longestTurnDelay = max(d.longestTurnDelay, now-b.At(0))
	}
}

// TestFramesSayWhatBlocksSay decodes the binary link and holds it against Each.
func TestFramesSayWhatBlocksSay(t *testing.T) {
	p := shortRun()
	got, truth := decode(t, p)
	want := record(t, p)
	require.Len(t, got.samples, len(want.samples))
	for k, s := range want.samples {
		g := got.samples[k]
		require.Equal(t, s.tick, g.tick)
		require.InDelta(t, s.v, g.v*voltageScale, 1e-9)
		require.InDelta(t, s.i, g.i*currentScale, 1e-9)
	}
	assert.Equal(t, truth.Frames, got.readings)
	assert.Zero(t, got.lost)
	source := p.Source()
	assert.Equal(t, source, *got.source)
	assert.Equal(t, []int64{0, 5e9}, got.hellos)
	assert.LessOrEqual(t, got.longestTurnDelay, int64(100e6))
	assert.EqualValues(t, 0, got.turns[0].v, "a count at boot")
	assert.EqualValues(t, 360, got.turns[len(got.turns)-1].v)
	for k, s := range got.turns[1:] {
		assert.GreaterOrEqual(t, s.tick, got.turns[k].tick)
		assert.GreaterOrEqual(t, s.v, got.turns[k].v)
	}
}

func TestLostFramesAreMissedByNumber(t *testing.T) {
	p := brisk()
	p.Faults = []Fault{{Kind: LinkLoss, Turn: 1, From: 150, Duration: 0.4}}
	got, truth := decode(t, p)
	assert.Equal(t, truth.Frames, got.readings)
	assert.Greater(t, got.lost, 40, "a frame a hundredth of a second, and others")
	assert.Len(t, got.boots, 1)
}

func TestRebootHasItsOwnID(t *testing.T) {
	p := brisk()
	p.Faults = []Fault{{Kind: Reboot, Turn: 1, From: 150, Duration: 0.4}}
	got, _ := decode(t, p)
	require.Len(t, got.boots, 2)
	assert.NotEqual(t, got.boots[0], got.boots[1])
	assert.Zero(t, got.lost, "numbers begin again with the boot")
}

func TestSumsKeepTheEnergy(t *testing.T) {
	p := shortRun()
	p.Link = LinkSums
	got, truth := decode(t, p)
	energy, wire := 0.0, 0.0
	for _, b := range got.sums {
		assert.EqualValues(t, 200, b.Sum.Count)
		energy += float64(b.Sum.VI) * voltageScale * currentScale * float64(b.Step) / 1e9
		wire += float64(b.Sum.WireCount) * wirePerCount
	}
	pass := truth.Passes[0]
	// The sums also hold the touch before the first burning.
	assert.InEpsilon(t, float64(pass.Energy), energy, 2e-3)
	assert.InDelta(t, float64(pass.WireFed), wire, 0.02)
}

func TestLinesKeepTheMeans(t *testing.T) {
	for _, name := range []string{link.Delimited, link.LineProtocol} {
		t.Run(name, func(t *testing.T) {
			p := shortRun()
			p.Link = name
			got, truth := decode(t, p)
			require.Equal(t, truth.Frames, got.readings)
			scale := link.DefaultSource(name).Channels
			pass := truth.Passes[0]
			var v, n float64
			for _, s := range got.samples {
				if s.tick > pass.Start.Tick+300e6 && s.tick < pass.End.Tick-100e6 {
					v += s.v * scale[0].Scale
					n++
				}
			}
			assert.InDelta(t, 17.5, v/n, 0.3)
		})
	}
}

func TestOneSeedOneSignal(t *testing.T) {
	sum := func(seed uint64) [sha256.Size]byte {
		p := shortRun()
		p.Seed = seed
		box, err := New(p)
		require.NoError(t, err)
		h := sha256.New()
		_, err = box.Write(t.Context(), h)
		require.NoError(t, err)
		return [sha256.Size]byte(h.Sum(nil))
	}
	assert.Equal(t, sum(1), sum(1))
	assert.NotEqual(t, sum(1), sum(2))
}

func TestSampleRates(t *testing.T) {
	if testing.Short() {
		t.Skip("it lays whole passes")
	}
	for _, rate := range []quantity.Hertz{1000, 5000, 10_000, 20_000, 50_000, 100_000} {
		p := shortRun()
		p.SampleRate = rate
		rec := record(t, p)
		step := int64(math.Round(1e9 / float64(rate)))
		for k, s := range rec.samples[1:] {
			require.Equal(t, step, s.tick-rec.samples[k].tick)
		}
		assert.InDelta(t, float64(rec.truth.End.Tick), float64(rec.samples[len(rec.samples)-1].tick), 110e6)
	}
}
