package review_test

import (
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"
	"time"

	"arctally/acquire/quantity/quantitytest"
	"arctally/acquire/record"
	"arctally/acquire/sensorbox"
	"arctally/acquire/series"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/review"
	"arctally/cmd/internal/shelf"
	"arctally/cmd/internal/virtualbox"
	"arctally/report/sheet"
	"arctally/report/text"
	"arctally/testdata/job/demo"
)

// What a benchmark records again and again to make a long job: the first minutes of the
// demo's job, at 10 kHz, with the counts of the torch going on.
const (
	repeated = 180 * second
	second   = int64(time.Second)
	// afterSecond is where within a second of the box a commit falls, so that its
	// seconds are cut in two as those of a live record are.
	afterSecond = 370 * int64(time.Millisecond)
)

// benchLength is a third of an hour, or twelve hours where they are asked for.
func benchLength() int64 {
	if os.Getenv("ARCTALLY_TWELVE_HOURS") != "" {
		return 12 * 3600 * second
	}
	return 1200 * second
}

// longRecord is a record of so many ns, committed once a second of it. It is made once
// where ARCTALLY_LONG_RECORD says which file it is to be.
func longRecord(tb testing.TB, length int64) string {
	file := os.Getenv("ARCTALLY_LONG_RECORD")
	if file == "" {
		file = filepath.Join(tb.TempDir(), "long.arctally")
	} else if _, err := os.Stat(file); err == nil {
		return file
	}
	plan, err := jobfile.ReadIn(demo.Files, jobfile.Document)
	must(tb, err)
	box, err := sensorbox.New(virtualbox.Plan(plan, 2, nil))
	must(tb, err)
	blocks := laidBlocks(tb, box)
	w, err := plan.CreateRecord(file, time.Unix(1_800_000_000, 0))
	must(tb, err)
	must(tb, w.Source(box.Plan().Source()))
	next := afterSecond
	turned := countsIn(blocks)
	for shift := int64(0); shift < length; shift += repeated {
		for k := range blocks {
			block := &blocks[k]
			if block.At(0) >= next {
				next += second
				must(tb, w.Sync())
			}
			must(tb, w.Block(block))
			later(block, turned)
		}
	}
	must(tb, w.Close())
	return file
}

// laidBlocks returns what the box says of the part that is repeated.
func laidBlocks(tb testing.TB, box *sensorbox.Box) (blocks []series.Block) {
	enough := errors.New("enough")
	_, err := box.Each(context.Background(), func(in *series.Block) error {
		if in.At(0) >= repeated {
			return enough
		}
		var own series.Block
		own.CopyFrom(in)
		blocks = append(blocks, own)
		return nil
	})
	if !errors.Is(err, enough) {
		tb.Fatal(err)
	}
	return blocks
}

// countsIn is by how much the counts of the torch rise.
func countsIn(blocks []series.Block) int64 {
	var first, last int64
	any := false
	for k := range blocks {
		for _, count := range blocks[k].Count {
			if !any {
				first, any = count, true
			}
			last = count
		}
	}
	return last - first + 1
}

// later moves a block to its next repetition.
func later(b *series.Block, turned int64) {
	b.Tick += repeated
	for k := range b.Ticks {
		b.Ticks[k] += repeated
	}
	for k := range b.Count {
		b.Count[k] += turned
	}
	b.AtMark = false
}

func must(tb testing.TB, err error) {
	tb.Helper()
	if err != nil {
		tb.Fatal(err)
	}
}

// BenchmarkJudge judges a long record as `passes` does, and reports its processor time
// against the bare decoding of the same record in the same run.
func BenchmarkJudge(b *testing.B) {
	file := longRecord(b, benchLength())
	var bare, judged, wall time.Duration
	samples := 0
	for b.Loop() {
		begun := quantitytest.ProcessorTime(b)
		samples += decode(b, file)
		between, watch := quantitytest.ProcessorTime(b), time.Now()
		r, err := review.Judge(b.Context(), file, "", func(float64) {})
		must(b, err)
		bare, judged, wall = bare+between-begun, judged+quantitytest.ProcessorTime(b)-between, wall+time.Since(watch)
		if len(r.Result.Passes) == 0 {
			b.Fatal("no passes")
		}
		must(b, r.Close())
	}
	b.ReportMetric(judged.Seconds()/bare.Seconds(), "x-bare-decoding")
	b.ReportMetric(bare.Seconds()/float64(samples)*1e9, "bare-ns/sample")
	b.ReportMetric((judged-bare).Seconds()/float64(samples)*1e9, "judging-ns/sample")
	b.ReportMetric(judged.Seconds()/wall.Seconds(), "cores")
}

// decode reads all groups, and returns how many samples of the arc they have.
func decode(b *testing.B, file string) (samples int) {
	reader, err := record.Open(file)
	must(b, err)
	for group, err := range reader.Groups() {
		must(b, err)
		for k := range group.Blocks {
			samples += len(group.Blocks[k].V)
		}
	}
	must(b, reader.Close())
	return samples
}

// BenchmarkKept reviews a long record whose judgement is kept, as `passes` does, and
// reports its processor time, and against judging it once in the same run.
func BenchmarkKept(b *testing.B) {
	file := longRecord(b, benchLength())
	ctx := shelf.New(b.TempDir(), "bench", shelf.Limit).With(b.Context())
	look := func() (took time.Duration) {
		begun := quantitytest.ProcessorTime(b)
		r, err := review.Judge(ctx, file, "", func(float64) {})
		must(b, err)
		must(b, text.Passes(io.Discard, r.Sheet(), sheet.Metric))
		must(b, r.Close())
		return quantitytest.ProcessorTime(b) - begun
	}
	judged := look()
	var again time.Duration
	for b.Loop() {
		again += look()
	}
	b.ReportMetric(again.Seconds()*1e3/float64(b.N), "cpu-ms")
	b.ReportMetric(again.Seconds()/float64(b.N)/judged.Seconds(), "x-judging")
}
