package main

import (
	"bytes"
	"context"
	"path/filepath"
	"testing"
	"time"

	"arctally/acquire"
	"arctally/acquire/link"
	"arctally/acquire/quantity/quantitytest"
	"arctally/acquire/series"
	"arctally/analyze"
	"arctally/cmd/internal/jobfile"
)

// ofTheArc is a sink that is handed only what the box says that tells the arc.
type ofTheArc struct{ series.Sink }

func (s ofTheArc) Source(source series.Source) error {
	if source.Box > 0 {
		return nil
	}
	return s.Sink.Source(source)
}

func (s ofTheArc) Block(b *series.Block) error {
	if b.Box > 0 {
		return nil
	}
	return s.Sink.Block(b)
}

func (s ofTheArc) Event(e series.Event) error {
	if e.Box > 0 {
		return nil
	}
	return s.Sink.Event(e)
}

// speakers are boxes that all say the same, as fast as they are heard. The first waits
// for the others: its end is that of the recording.
func speakers(b *testing.B, said []byte, n int) (boxes []acquire.Box) {
	b.Helper()
	others := make(chan struct{}, n)
	for k := range n {
		box, err := acquire.NewLine(bytes.NewReader(said), link.Binary, nil)
		if err != nil {
			b.Fatal(err)
		}
		box.Talker = inConcert{box.Talker, k == 0, n - 1, others}
		boxes = append(boxes, box)
	}
	return boxes
}

type inConcert struct {
	acquire.Talker
	first  bool
	wait   int
	others chan struct{}
}

func (c inConcert) Talk(ctx context.Context, to acquire.Listener) error {
	err := c.Talker.Talk(ctx, to)
	if !c.first {
		c.others <- struct{}{}
		return err
	}
	for range c.wait {
		<-c.others
	}
	return err
}

// recordBoxes records and judges what boxes say, and returns how many samples came.
func recordBoxes(b *testing.B, p *jobfile.File, said []byte, n int) (samples int64) {
	b.Helper()
	writer, err := p.CreateRecord(filepath.Join(b.TempDir(), "bench.arctally"), time.Now())
	if err != nil {
		b.Fatal(err)
	}
	run := analyze.New(p.Job, nil)
	tallies, err := acquire.RecordBoxes(b.Context(), speakers(b, said, n), acquire.Config{Sinks: []series.Sink{writer, ofTheArc{run}}})
	if err != nil {
		b.Fatal(err)
	}
	if err := writer.Close(); err != nil {
		b.Fatal(err)
	}
	if len(run.Finish().Passes) != 2 {
		b.Fatalf("%d passes", len(run.Finish().Passes))
	}
	for _, t := range tallies {
		samples += t.Samples
	}
	return samples
}

// BenchmarkThreeBoxes records three boxes, each with voltage and current at 10 kHz, and
// in the same run one: it reports the share of one core that three take in real time, and
// how processor time and live memory stand to those for one.
func BenchmarkThreeBoxes(b *testing.B) {
	p := benchPlan(b)
	said := benchBytes(b, p, shortLayer)
	var one, three time.Duration
	var samples int64
	var oneHeap, threeHeap int64
	for b.Loop() {
		begun := quantitytest.ProcessorTime(b)
		recordBoxes(b, p, said, 1)
		between := quantitytest.ProcessorTime(b)
		samples += recordBoxes(b, p, said, 3) / 3
		one, three = one+between-begun, three+quantitytest.ProcessorTime(b)-between
	}
	oneHeap, threeHeap = peakOf(b, p, said, 1), peakOf(b, p, said, 3)
	realTime := time.Duration(float64(samples) / 10_000 * float64(time.Second))
	b.ReportMetric(100*three.Seconds()/realTime.Seconds(), "%-of-a-core")
	b.ReportMetric(three.Seconds()/one.Seconds(), "x-one-box-cpu")
	b.ReportMetric(float64(threeHeap)/float64(oneHeap), "x-one-box-memory")
	b.ReportMetric(float64(threeHeap)/1e6, "MB-at-most")
}

// peakOf is the most live memory that a recording has beyond what was there before.
func peakOf(b *testing.B, p *jobfile.File, said []byte, n int) (peak int64) {
	b.Helper()
	before := heapInUse()
	done, watched := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(watched)
		for {
			select {
			case <-done:
				return
			case <-time.After(50 * time.Millisecond):
				peak = max(peak, heapInUse()-before)
			}
		}
	}()
	recordBoxes(b, p, said, n)
	close(done)
	<-watched
	return peak
}
