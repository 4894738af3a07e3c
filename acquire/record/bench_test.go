package record

import (
	"context"
	"errors"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity/quantitytest"
	"arctally/acquire/record/codec"
	"arctally/acquire/sensorbox"
	"arctally/acquire/series"
)

const (
	benchRate    = 10_000
	benchSamples = 180 * benchRate
)

// signal is what a benchmark records: all blocks of a source, and its codes.
type signal struct {
	source series.Source
	blocks []series.Block
	v, i   []int32
}

// demoSignal returns the first three minutes of the sensor box's demo job, as
// it says them: 2 s of quiet, then short-circuit arc with the gap left unwelded
// once a turn (a tenth of the time).
func demoSignal(b testing.TB) signal {
	box, err := sensorbox.New(sensorbox.Demo())
	if err != nil {
		b.Fatal(err)
	}
	s := signal{source: box.Plan().Source()}
	enough := errors.New("enough")
	_, err = box.Each(context.Background(), func(in *series.Block) error {
		out := *in
		out.V, out.I, out.Ticks = slices.Clone(in.V), slices.Clone(in.I), slices.Clone(in.Ticks)
		out.Channel, out.Value, out.Count = slices.Clone(in.Channel), slices.Clone(in.Value), slices.Clone(in.Count)
		s.blocks = append(s.blocks, out)
		s.v, s.i = append(s.v, in.V...), append(s.i, in.I...)
		if len(s.v) == benchSamples {
			return enough
		}
		return nil
	})
	if !errors.Is(err, enough) {
		b.Fatal(err)
	}
	return s
}

// entropy estimates what a value costs at least: the order-0 entropy of the
// differences of neighbouring codes,
//
//	H = -sum p(d)*log2 p(d) / 8
//
// in bytes a value, with p(d) the share of the difference d in the whole signal.
// A coder that knows more than the last sample can go below it, and so can one
// that adapts to stretches with the arc off.
func entropy(codes []int32) float64 {
	counts := map[int32]float64{}
	for k := 1; k < len(codes); k++ {
		counts[codes[k]-codes[k-1]]++
	}
	n, h := float64(len(codes)-1), 0.0
	for _, c := range counts {
		h -= c / n * math.Log2(c/n)
	}
	return h / 8
}

// packed is the payload of so many samples of voltage and current.
type packed struct {
	n       int
	payload []byte
}

// bareEncode packs both columns as the record does, a second at a time, and
// returns the payloads.
func bareEncode(s signal, keep bool) (payloads []packed, size int) {
	p := codec.NewPacker()
	var payload []byte
	for from := 0; from < len(s.v); from += benchRate {
		until := min(from+benchRate, len(s.v))
		p.Codes(voltage, s.v[from:until])
		p.Codes(current, s.i[from:until])
		_, payload = p.Joined(payload[:0])
		size += len(payload)
		if keep {
			payloads = append(payloads, packed{until - from, slices.Clone(payload)})
		}
	}
	return payloads, size
}

// writeRecord records the signal block by block, as fast as the record takes it.
func writeRecord(b testing.TB, path string, s signal) {
	w, err := Create(path, Meta{Job: "bench"})
	if err != nil {
		b.Fatal(err)
	}
	if err := w.Source(s.source); err != nil {
		b.Fatal(err)
	}
	for k := range s.blocks {
		if err := w.Block(&s.blocks[k]); err != nil {
			b.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		b.Fatal(err)
	}
}

// liveSize returns the bytes of a record that is committed once a second of the
// source, as a live one is.
func liveSize(b testing.TB, s signal) int64 {
	path := filepath.Join(b.TempDir(), "live.arc")
	writeLive(b, path, s)
	info, err := os.Stat(path)
	if err != nil {
		b.Fatal(err)
	}
	return info.Size()
}

// stopwatch adds up wall time and the processor time of the whole process.
type stopwatch struct{ wall, cpu time.Duration }

func (w *stopwatch) run(b testing.TB, do func()) {
	begin, before := time.Now(), quantitytest.ProcessorTime(b)
	do()
	w.wall += time.Since(begin)
	w.cpu += quantitytest.ProcessorTime(b) - before
}

// report gives values a second of wall time and of processor time, beside the bare codec's.
func report(b *testing.B, values int, whole, bare stopwatch) {
	total := float64(values) * float64(b.N) / 1e6
	b.ReportMetric(total/whole.wall.Seconds(), "Mvalues/s")
	b.ReportMetric(total/whole.cpu.Seconds(), "Mvalues/cpu-s")
	b.ReportMetric(total/bare.cpu.Seconds(), "bare-Mvalues/cpu-s")
	b.ReportMetric(whole.cpu.Seconds()/bare.cpu.Seconds(), "whole/bare-cpu")
	b.ReportMetric(0, "ns/op") // says nothing here: it holds the baseline too
}

// BenchmarkWrite reports the whole way into the record, with its commits, beside
// the bare codec on the same signal; and the size beside the entropy estimate.
func BenchmarkWrite(b *testing.B) {
	s := demoSignal(b)
	path := filepath.Join(b.TempDir(), "bench.arc")
	values := len(s.v) + len(s.i)
	payload, file := 0, liveSize(b, s)
	var bare, whole stopwatch
	for b.Loop() {
		bare.run(b, func() { _, payload = bareEncode(s, false) })
		whole.run(b, func() { writeRecord(b, path, s) })
		if err := os.Remove(path); err != nil {
			b.Fatal(err)
		}
	}
	report(b, values, whole, bare)
	estimate := (entropy(s.v) + entropy(s.i)) / 2
	b.ReportMetric(float64(file)/float64(values), "file-B/value")
	b.ReportMetric(float64(payload)/float64(values), "payload-B/value")
	b.ReportMetric(estimate, "entropy-B/value")
	b.ReportMetric(float64(file)/float64(values)/estimate, "file/entropy")
}

// BenchmarkRead reports the reading of a whole record beside the bare codec.
func BenchmarkRead(b *testing.B) {
	s := demoSignal(b)
	path := filepath.Join(b.TempDir(), "bench.arc")
	writeRecord(b, path, s)
	payloads, _ := bareEncode(s, true)
	var bare, whole stopwatch
	for b.Loop() {
		bare.run(b, func() { decode(b, payloads) })
		whole.run(b, func() {
			if n := readAll(b, path); n != len(s.v) {
				b.Fatal("samples read:", n)
			}
		})
	}
	report(b, len(s.v)+len(s.i), whole, bare)
}

// BenchmarkWindow reports a window of 10 s: its finest digests, and all its samples.
func BenchmarkWindow(b *testing.B) {
	s := demoSignal(b)
	path := filepath.Join(b.TempDir(), "bench.arc")
	writeRecord(b, path, s)
	r, err := Open(path)
	if err != nil {
		b.Fatal(err)
	}
	from, until := int64(90e9), int64(100e9)
	var summaries, samples stopwatch
	for b.Loop() {
		summaries.run(b, func() {
			if found, err := r.Extremes([]int{series.VoltageChannel, series.CurrentChannel}, 0, from, until, 0); err != nil || len(found[0]) != 1000 {
				b.Fatal(len(found[0]), err)
			}
		})
		samples.run(b, func() {
			for _, err := range r.Between(0, from, until) {
				if err != nil {
					b.Fatal(err)
				}
			}
		})
	}
	b.ReportMetric(float64(summaries.wall.Microseconds())/float64(b.N)/1000, "digests-ms")
	b.ReportMetric(float64(samples.wall.Microseconds())/float64(b.N)/1000, "samples-ms")
	if err := r.Close(); err != nil {
		b.Fatal(err)
	}
}

func readAll(b testing.TB, path string) (samples int) {
	r, err := Open(path)
	if err != nil {
		b.Fatal(err)
	}
	for g, err := range r.Groups() {
		if err != nil {
			b.Fatal(err)
		}
		for k := range g.Blocks {
			if g.Blocks[k].Kind == series.Arc {
				samples += g.Blocks[k].Len()
			}
		}
	}
	if err := r.Close(); err != nil {
		b.Fatal(err)
	}
	return samples
}

// TestSize_OfTheSensorBoxesArc holds the goal for the size of a record.
func TestSize_OfTheSensorBoxesArc(t *testing.T) {
	if testing.Short() {
		t.Skip("lays three minutes of arc")
	}
	s := demoSignal(t)
	size := float64(liveSize(t, s)) / float64(len(s.v)+len(s.i))
	estimate := (entropy(s.v) + entropy(s.i)) / 2
	t.Logf("%.4f bytes a value in the file, entropy estimate %.4f", size, estimate)
	require.LessOrEqual(t, size, max(0.84, 1.3*estimate))
}
