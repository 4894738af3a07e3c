package sensorbox

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/acquire/series"
)

// sample is one voltage and current of the record, in V and A.
type sample struct {
	tick  int64 // ns
	epoch int
	brk   bool
	v, i  float64
}

// recording is what Each handed out.
type recording struct {
	truth   Truth
	samples []sample
	slow    map[uint8][]sample // value in v
	turns   []sample           // count in v
}

func record(t testing.TB, p Plan) recording {
	t.Helper()
	box, err := New(p)
	require.NoError(t, err)
	rec := recording{slow: map[uint8][]sample{}}
	rec.truth, err = box.Each(context.Background(), func(b *series.Block) error {
		for k := range b.Len() {
			s := sample{tick: b.At(k), epoch: b.Epoch, brk: b.Break && k == 0}
			switch b.Kind {
			case series.Arc:
				s.v, s.i = float64(b.V[k])*voltageScale, float64(b.I[k])*currentScale
				rec.samples = append(rec.samples, s)
			case series.Slow:
				s.v = b.Value[k]
				rec.slow[b.Channel[k]] = append(rec.slow[b.Channel[k]], s)
			case series.Turn:
				s.v = float64(b.Count[k])
				rec.turns = append(rec.turns, s)
			}
		}
		return nil
	})
	require.NoError(t, err)
	return rec
}

// between returns the samples of an epoch in [from, to).
func between(all []sample, epoch int, from, to int64) []sample {
	var out []sample
	for _, s := range all {
		if s.epoch == epoch && s.tick >= from && s.tick < to {
			out = append(out, s)
		}
	}
	return out
}

func means(all []sample) (v, i float64) {
	for _, s := range all {
		v += s.v
		i += s.i
	}
	n := float64(len(all))
	return v / n, i / n
}

// brisk is the demo job on a bore of two turns, turned faster: 12 s a turn.
func brisk() Plan {
	p := Demo()
	p.Length = 2 * p.Pitch
	p.Layers = 1
	p.RotationSpeed = quantity.Of[quantity.TurnsPerSecond](5, "rpm")
	return p
}

// recordedArc is the set-up of the arcs that the model was fitted to. Their wire
// is not known; this one needs their current.
func recordedArc() Plan {
	p := brisk()
	p.Gaps = nil
	p.Length = p.Pitch
	p.WireDiameter = 1.2e-3
	p.Voltage, p.Current = 18.9, 195
	p.WireSpeed = quantity.Of[quantity.MetresPerSecond](4.35, "m/min")
	p.SampleRate = 50_000
	return p
}
