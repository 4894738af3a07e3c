package arc

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
	"arctally/analyze/waveform"
)

// instant is a source of true samples.
func instant() series.Source {
	return series.Source{Channels: []series.Channel{{Basis: series.Instantaneous}, {Basis: series.Instantaneous}, {Basis: series.Average}}}
}

// learning is how long, in s, a meter looks before it knows a short from an arc.
const learning = 0.1

// dip lays a dipping arc from one time in ms to another, at 10 kHz: every 10 ms a
// short of 3 ms.
func dip(d *Detector, from, to int64) {
	for tick := from * ms; tick < to*ms; tick += ms / 10 {
		s := Sample{Tick: tick, V: 20, I: 120}
		if tick%(10*ms) >= 7*ms {
			s.V, s.I = 2, 300
		}
		play(d, s)
	}
}

// Looks come every half second of arc time, and tell the shorts of that time.
func TestWave_looks(t *testing.T) {
	d, e := listen(limits, instant())
	dip(d, 0, 700)
	for tick := int64(700); tick < 900; tick++ {
		play(d, out(tick))
	}
	dip(d, 900, 1900)
	var looked []int64
	var stats []*waveform.Statistics
	for _, b := range e.buckets {
		require.Equal(t, b.Looked, b.Waveform != nil)
		if b.Looked {
			looked, stats = append(looked, b.End/ms), append(stats, b.Waveform)
		}
	}
	require.Equal(t, []int64{500, 1210, 1710}, looked, "the arc was out for 200 ms, and is lit at 900 ms only after its first sample")
	require.InDelta(t, 100, float64(stats[2].Transfer), 0.5)
	whole := d.EndWave(nil)
	require.InDelta(t, 100, float64(whole.Transfer), 1.5)
	require.InDelta(t, 1.7-learning, float64(whole.Known), 0.02)
}

// A source of means, or a slow one, shows no shorts.
func TestWave_source(t *testing.T) {
	mean, slow := instant(), instant()
	mean.Channels[1].Basis = series.Average
	slow.Refresh = 500_001
	just := instant()
	just.Refresh = 500_000
	for name, x := range map[string]struct {
		src  series.Source
		hear bool
	}{"true samples": {instant(), true}, "a channel of means": {mean, false}, "refreshed too slowly": {slow, false}, "just fast enough": {just, true}} {
		t.Run(name, func(t *testing.T) {
			d, e := listen(limits, x.src)
			dip(d, 0, 1100)
			assert.Equal(t, x.hear, d.MarkWave() != nil)
			assert.Equal(t, x.hear, d.EndWave(nil) != nil)
			looked := 0
			for _, b := range e.buckets {
				if b.Looked {
					looked++
				}
			}
			assert.Equal(t, map[bool]int{true: 2, false: 0}[x.hear], looked)
		})
	}
}

// A source of means that comes after a fast one is not heard; what was heard stays.
func TestWave_sourceChanges(t *testing.T) {
	d, _ := listen(limits, instant())
	dip(d, 0, 1000)
	d.Source(series.Source{Channels: []series.Channel{{}, {}}})
	dip(d, 1000, 2000)
	require.InDelta(t, 1-learning, float64(d.EndWave(nil).Known), 0.01)
	d.Source(instant())
	dip(d, 2000, 3000)
	require.InDelta(t, 1, float64(d.EndWave(nil).Known), 0.01)
}

// Where no waveform is heard, the arc may go out as well.
func TestWave_unheard(t *testing.T) {
	d, _ := listen(limits, series.Source{Refresh: 1_000_000})
	play(d, burning(0), burning(1), out(2), burning(3))
	require.Nil(t, d.EndWave(nil))
}

// Single samples that are means are not heard.
func TestWave_averagedSamples(t *testing.T) {
	d, _ := listen(limits, instant())
	dip(d, 0, 1000)
	for tick := int64(1000); tick < 2000; tick++ {
		play(d, burning(tick, Averaged))
	}
	require.InDelta(t, 1-learning, float64(d.EndWave(nil).Known), 0.01)
}

// A pass that ended at a mark has the waveform up to there; the next one has the
// rest, and looks anew.
func TestWave_marks(t *testing.T) {
	d, e := listen(limits, instant())
	dip(d, 0, 1000)
	mark := d.MarkWave()
	dip(d, 1000, 1400)
	require.InDelta(t, 1-learning, float64(d.EndWave(mark).Known), 0.01)
	dip(d, 1400, 1600)
	require.InDelta(t, 0.6, float64(d.EndWave(nil).Known), 0.01)
	e.buckets = nil
	dip(d, 1600, 2110)
	looked := []int64{}
	for _, b := range e.buckets {
		if b.Looked {
			looked = append(looked, b.End/ms)
		}
	}
	require.Equal(t, []int64{2090}, looked, "half a second after the last end, with the bucket that was open then")
}

// Nothing joins two samples in arc between which the arc was out: a short in which it
// went out is none.
func TestWave_isInterrupted(t *testing.T) {
	d, _ := listen(limits, instant())
	dip(d, 0, 1000)
	require.InDelta(t, 90, d.EndWave(nil).Transfers, 1)
	for k := range int64(100) {
		dip(d, 1000+10*k, 1008+10*k)
		play(d, out(1008+10*k))
		tick := (1008+10*k)*ms + ms/10
		play(d, Sample{Tick: tick, V: 9, I: 300}) // enough for a first sample in arc, and a short still
		for tick += ms / 10; tick < (1010+10*k)*ms; tick += ms / 10 {
			play(d, Sample{Tick: tick, V: 2, I: 300})
		}
	}
	require.Equal(t, 1, d.EndWave(nil).Transfers, "the one that was under way at 1 s")
}
