package record

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/record/codec"
	"arctally/acquire/series"
)

// signalLength is how long the signals of the bench are, in s; where they are slow, a
// record needs to be longer to be more than its own beginning.
const (
	signalLength = 60
	slowLength   = 900
)

// signals are what is recorded beside each other: the arc of our own box, and five that
// are unlike it.
func signals(b testing.TB) map[string]signal {
	r := rand.New(rand.NewPCG(1, 2))
	noise := func(half float64) func() float64 { return func() float64 { return r.NormFloat64() * half } }
	even := func(rate int, v, i func(t float64) float64) signal {
		return signalOf(signalLength*rate, func(k int) int64 { return int64(k) * 1e9 / int64(rate) }, false, v, i)
	}
	twelve, sixteen := noise(20), func() float64 { return float64(int16(r.Uint32())) }
	box := demoSignal(b)
	irregular := irregularTicks(r, 45*slowLength)
	return map[string]signal{
		"box":          box,
		"noisy-12-bit": even(10_000, func(float64) float64 { return 2000 + twelve() }, func(float64) float64 { return 1500 + twelve() }),
		"noisy-16-bit": even(10_000, func(float64) float64 { return sixteen() }, func(float64) float64 { return sixteen() }),
		"irregular-45-hz": signalOf(len(irregular), func(k int) int64 { return irregular[k] }, true,
			func(float64) float64 { return math.Round(200 + noise(3)()) }, func(float64) float64 { return math.Round(140 + noise(4)()) }),
		"pulsed":       even(10_000, pulse(700, 300, noise(4)), pulse(3000, 500, noise(6))),
		"tiled-50-khz": tiled(box, 50_000),
	}
}

// pulse is high for 2 ms of every 8.
func pulse(high, low float64, noise func() float64) func(t float64) float64 {
	return func(t float64) float64 {
		if math.Mod(t, 0.008) < 0.002 {
			return high + noise()
		}
		return low + noise()
	}
}

// irregularTicks are those of a logger that comes to it when it can.
func irregularTicks(r *rand.Rand, n int) []int64 {
	ticks, tick := make([]int64, n), int64(0)
	for k := range ticks {
		tick += 15_000_000 + r.Int64N(15_000_000)
		ticks[k] = tick
	}
	return ticks
}

// signalOf is a signal of functions of time, in blocks of a tenth of a second or so.
func signalOf(n int, tick func(k int) int64, own bool, v, i func(t float64) float64) signal {
	s := signal{source: box()}
	per := max(1, int(100_000_000/(tick(1)-tick(0))))
	for from := 0; from < n; from += per {
		b := series.Block{Kind: series.Arc, Tick: tick(from), Step: tick(1) - tick(0)}
		for k := from; k < min(from+per, n); k++ {
			t := float64(tick(k)) * 1e-9
			b.V, b.I = append(b.V, int32(v(t))), append(b.I, int32(i(t)))
			if own {
				b.Ticks = append(b.Ticks, tick(k))
			}
		}
		if own {
			b.Step = 0
		}
		s.blocks, s.v, s.i = append(s.blocks, b), append(s.v, b.V...), append(s.i, b.I...)
	}
	return s
}

// tiled is the voltage and current of a signal at another pace.
func tiled(of signal, rate int) signal {
	n := min(len(of.v), signalLength*rate)
	at := 0
	next := func(codes []int32) func(float64) float64 {
		return func(float64) float64 { return float64(codes[at%len(codes)]) }
	}
	current := next(of.i)
	return signalOf(n, func(k int) int64 { return int64(k) * 1e9 / int64(rate) }, false, next(of.v), func(t float64) float64 {
		i := current(t)
		at++
		return i
	})
}

// entropyOf is the order-0 entropy of codes in bytes a value: of themselves, or of what a
// predictor of a higher order leaves of them.
func entropyOf(codes []int32, order int) float64 {
	if order > 0 {
		left := make([]int32, len(codes)-1)
		for k := range left {
			left[k] = codes[k+1] - codes[k]
		}
		return entropyOf(left, order-1)
	}
	counts, h := map[int32]float64{}, 0.0
	for _, c := range codes {
		counts[c]++
	}
	for _, c := range counts {
		p := c / float64(len(codes))
		h -= p * math.Log2(p)
	}
	return h / 8
}

// BenchmarkSignals records signals as live ones are, once a second, and reports for each:
// its bytes a value, in the file and as payloads alone, beside the entropy of the codes and
// of their second differences; how many values a core decodes in a second of its time, as
// payloads alone and out of the record; what the digests cost the recorder; and what verify
// costs beside the reading. Every ratio is one of processor times.
func BenchmarkSignals(b *testing.B) {
	all := signals(b)
	for _, name := range []string{"box", "noisy-12-bit", "noisy-16-bit", "irregular-45-hz", "pulsed", "tiled-50-khz"} {
		b.Run(name, func(b *testing.B) { all[name].bench(b) })
	}
}

func (s signal) bench(b *testing.B) {
	path := filepath.Join(b.TempDir(), "live.arc")
	payloads, size := bareEncode(s, true)
	var writing, digesting, decoding, reading, verifying stopwatch
	for b.Loop() {
		require.NoError(b, remove(path))
		writing.run(b, func() { writeLive(b, path, s) })
		digesting.run(b, func() { s.digested() })
		decoding.run(b, func() { decode(b, payloads) })
		reading.run(b, func() { require.Equal(b, len(s.v), readAll(b, path)) })
		verifying.run(b, func() { require.NoError(b, Verify(path)) })
	}
	info, err := os.Stat(path)
	require.NoError(b, err)
	values := float64(len(s.v) + len(s.i))
	b.ReportMetric(float64(info.Size())/values, "file-B/value")
	b.ReportMetric(float64(size)/values, "payload-B/value")
	for _, order := range []int{0, 2} {
		b.ReportMetric((entropyOf(s.v, order)+entropyOf(s.i, order))/2, fmt.Sprintf("order-%d-B/value", order))
	}
	total := values * float64(b.N) / 1e6
	b.ReportMetric(total/decoding.cpu.Seconds(), "decode-M/core-s")
	b.ReportMetric(total/reading.cpu.Seconds(), "read-M/core-s")
	b.ReportMetric(total/writing.cpu.Seconds(), "write-M/core-s")
	b.ReportMetric(digesting.cpu.Seconds()/writing.cpu.Seconds(), "digests/write-cpu")
	b.ReportMetric(verifying.cpu.Seconds()/reading.cpu.Seconds(), "verify/read-cpu")
	b.ReportMetric(0, "ns/op") // says nothing here
}

// decode opens payloads, and does nothing with them.
func decode(b *testing.B, payloads []packed) {
	u := codec.NewUnpacker()
	var codes []int32
	for _, p := range payloads {
		columns, err := u.Joined(p.payload, p.n)
		require.NoError(b, err)
		for _, c := range columns {
			codes, err = c.Codes(codes[:0])
			require.NoError(b, err)
		}
	}
}

// digested makes and packs the digests of the signal, group by group of a second.
func (s signal) digested() {
	var d digester
	var content, payload []byte
	p := codec.NewPacker()
	at := extent{samples: true}
	for from := 0; from < len(s.blocks); {
		until := from
		for until < len(s.blocks) && s.blocks[until].At(0)/1e9 == s.blocks[from].At(0)/1e9 {
			until++
		}
		at.number, at.first, at.last = at.number+1, s.blocks[from].At(0), s.blocks[until-1].At(0)
		group := s.blocks[from:until]
		from = until
		for _, r := range d.group(at, nil, blocksOf(group)) {
			content = r.digest.Append(content[:0], r.level > 0)
			_, payload = p.Content(payload[:0], content)
		}
	}
}

// writeLive records the signal and commits once a second of it.
func writeLive(b testing.TB, path string, s signal) {
	w, err := create(path, Meta{Job: "live"}, whenAsked())
	require.NoError(b, err)
	require.NoError(b, w.Source(s.source))
	second := int64(0)
	for k := range s.blocks {
		if at := s.blocks[k].At(0) / 1e9; at > second {
			second = at
			require.NoError(b, w.Sync())
		}
		require.NoError(b, w.Block(&s.blocks[k]))
	}
	require.NoError(b, w.Close())
}
