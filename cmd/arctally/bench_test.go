package main

import (
	"bytes"
	"context"
	"io"
	"path/filepath"
	"runtime"
	"testing"
	"time"

	"arctally/acquire/acquiretest"
	"arctally/acquire/quantity"
	"arctally/acquire/quantity/quantitytest"
	"arctally/acquire/record"
	"arctally/acquire/sensorbox"
	"arctally/acquire/series"
	"arctally/analyze"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/review"
	"arctally/cmd/internal/virtualbox"
	"arctally/testdata/job/demo"
)

// benchBytes returns what the sensor box says over a line while it lays two
// layers of so many turns of the demo job, with gaps and pauses at 10 kHz; four
// turns a layer take 400 s.
func benchBytes(b *testing.B, p *jobfile.File, turns int) []byte {
	laid := virtualbox.Plan(p, 2, nil)
	laid.Length = quantity.Metres(turns) * laid.Pitch
	box, err := sensorbox.New(laid)
	if err != nil {
		b.Fatal(err)
	}
	var said bytes.Buffer
	if _, err := box.Write(context.Background(), &said); err != nil {
		b.Fatal(err)
	}
	return said.Bytes()
}

func benchPlan(b *testing.B) *jobfile.File {
	p, err := jobfile.ReadIn(demo.Files, jobfile.Document)
	if err != nil {
		b.Fatal(err)
	}
	return p
}

// nobody is a sink that does nothing.
type nobody struct{}

func (nobody) Source(series.Source) error { return nil }
func (nobody) Block(*series.Block) error  { return nil }
func (nobody) Event(series.Event) error   { return nil }

// BenchmarkFullPath takes the bytes of a link through decoding, the record's
// commits and the judgement. It reports values (of voltage and current) a second
// of one core, and the whole against the decoding alone in the same run.
func BenchmarkFullPath(b *testing.B) {
	p := benchPlan(b)
	said := benchBytes(b, p, shortLayer)
	b.SetBytes(int64(len(said)))
	var whole, decoding time.Duration
	var values int64
	for b.Loop() {
		begun := quantitytest.ProcessorTime(b)
		if _, err := acquiretest.Record(b.Context(), bytes.NewReader(said), acquiretest.Config{Link: "binary", Sinks: []series.Sink{nobody{}}}); err != nil {
			b.Fatal(err)
		}
		between := quantitytest.ProcessorTime(b)
		values += 2 * recordAndJudge(b, p, bytes.NewReader(said), filepath.Join(b.TempDir(), "bench.arctally"))
		decoding, whole = decoding+between-begun, whole+quantitytest.ProcessorTime(b)-between
	}
	b.ReportMetric(float64(values)/whole.Seconds()/1e6, "Mvalues/core-s")
	b.ReportMetric(whole.Seconds()/decoding.Seconds(), "x-decoding")
}

// recordAndJudge records what a reader brings and judges it, and returns the samples.
func recordAndJudge(b *testing.B, p *jobfile.File, from io.Reader, file string) int64 {
	writer, err := p.CreateRecord(file, time.Now())
	if err != nil {
		b.Fatal(err)
	}
	run := analyze.New(p.Job, nil)
	tally, err := acquiretest.Record(b.Context(), from, acquiretest.Config{Link: "binary", Sinks: []series.Sink{writer, run}})
	if err != nil {
		b.Fatal(err)
	}
	if err := writer.Close(); err != nil {
		b.Fatal(err)
	}
	if len(run.Finish().Passes) != 2 {
		b.Fatalf("%d passes", len(run.Finish().Passes))
	}
	return tally.Samples
}

// The turns of a layer in the benchmarks.
const shortLayer, longLayer = 4, 20

// BenchmarkReview judges a stored record again. It reports the processor time against the
// bare decoding of the same record in the same run, how long a stored hour of
// two channels at 10 kHz takes, and for the longer record how its time and its
// memory an hour stand to those of the shorter one: 1 is linear, 0 is flat.
func BenchmarkReview(b *testing.B) {
	short := benchReview(b, shortLayer)
	long := benchReview(b, longLayer)
	for b.Loop() {
		short.again(b)
		long.again(b)
	}
	b.ReportMetric(long.judged.Seconds()/long.bare.Seconds(), "x-bare-decoding")
	b.ReportMetric(long.hour(), "s/stored-hour")
	b.ReportMetric(long.hour()/short.hour(), "x-linear")
	b.ReportMetric(float64(long.heap)/1e6, "MB-kept")
	b.ReportMetric(float64(long.heap-short.heap)/1e6, "MB-more-for-5x")
}

// stored is a record that is judged again and again.
type stored struct {
	plan         *jobfile.File
	reader       *record.Reader
	samples      int64 // judged
	bare, judged time.Duration
	heap         int64 // bytes that the analysis keeps at its end
}

func benchReview(b *testing.B, turns int) *stored {
	s := &stored{plan: benchPlan(b)}
	file := filepath.Join(b.TempDir(), "bench.arctally")
	recordAndJudge(b, s.plan, bytes.NewReader(benchBytes(b, s.plan, turns)), file)
	var err error
	if s.reader, err = record.Open(file); err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() {
		if err := s.reader.Close(); err != nil {
			b.Error(err)
		}
	})
	return s
}

// again decodes the record, and then decodes and judges it.
func (s *stored) again(b *testing.B) {
	before := heapInUse()
	begun := quantitytest.ProcessorTime(b)
	for _, err := range s.reader.Groups() {
		if err != nil {
			b.Fatal(err)
		}
	}
	between := quantitytest.ProcessorTime(b)
	run := analyze.New(s.plan.Job, nil)
	counted := &counter{Run: run}
	if err := review.Feed(b.Context(), s.reader, counted, func(float64) {}); err != nil {
		b.Fatal(err)
	}
	result := run.Finish()
	s.bare, s.judged = s.bare+between-begun, s.judged+quantitytest.ProcessorTime(b)-between
	if len(result.Passes) != 2 {
		b.Fatal("the passes are gone")
	}
	s.samples += counted.samples
	s.heap = heapInUse() - before
	runtime.KeepAlive(run)
}

// hour returns how many seconds a stored hour at 10 kHz takes.
func (s *stored) hour() float64 { return s.judged.Seconds() * 3600 * 10_000 / float64(s.samples) }

// counter counts the samples that an analysis takes.
type counter struct {
	*analyze.Run
	samples int64
}

// Block implements series.Sink.
func (c *counter) Block(b *series.Block) error {
	if b.Kind == series.Arc {
		c.samples += int64(b.Len())
	}
	return c.Run.Block(b)
}

func heapInUse() int64 {
	var m runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&m)
	return int64(m.HeapAlloc)
}
