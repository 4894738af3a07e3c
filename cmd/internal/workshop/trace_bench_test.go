package workshop

import (
	"context"
	"errors"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"syscall"
	"testing"
	"time"

	"arctally/acquire/calib"
	"arctally/acquire/record"
	"arctally/acquire/sensorbox"
	"arctally/acquire/series"
	"arctally/report/page/trace"
)

// What a bench records again and again to make a long job: the first minutes of
// the demo's job, at 10 kHz.
const (
	repeated  = 180 * second
	second    = int64(time.Second)
	benchHour = 3600 * second
	// afterSecond is where within a second of the box a commit falls, so that its
	// seconds are cut in two as those of a live record are.
	afterSecond = 370 * int64(time.Millisecond)
)

// benchLength is an hour, or twelve where they are asked for.
func benchLength() int64 {
	if os.Getenv("ARCTALLY_TWELVE_HOURS") != "" {
		return 12 * benchHour
	}
	return benchHour
}

// longRecord writes a record of so many ns, committed once a second of it.
func longRecord(b *testing.B, file string, length int64) {
	box, err := sensorbox.New(sensorbox.Demo())
	if err != nil {
		b.Fatal(err)
	}
	blocks := laidBlocks(b, box)
	w, err := record.Create(file, record.Meta{Job: "bench"})
	if err != nil {
		b.Fatal(err)
	}
	if err := w.Source(box.Plan().Source()); err != nil {
		b.Fatal(err)
	}
	next := afterSecond
	for shift := int64(0); shift < length; shift += repeated {
		for k := range blocks {
			block := &blocks[k]
			if block.At(0) >= next {
				next += second
				if err := w.Sync(); err != nil {
					b.Fatal(err)
				}
			}
			if err := w.Block(block); err != nil {
				b.Fatal(err)
			}
			block.Tick += repeated
			for i := range block.Ticks {
				block.Ticks[i] += repeated
			}
		}
	}
	if err := w.Close(); err != nil {
		b.Fatal(err)
	}
}

// laidBlocks returns what the box says of the part that is repeated.
func laidBlocks(b *testing.B, box *sensorbox.Box) []series.Block {
	var blocks []series.Block
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
		b.Fatal(err)
	}
	return blocks
}

// BenchmarkTrace reads windows of a long record as a page asks for them: the
// server's processor time in ms for 1200 columns of voltage and current as JSON, and
// against bare decoding of the same commit groups in the same run.
func BenchmarkTrace(b *testing.B) {
	file := filepath.Join(b.TempDir(), "long.arctally")
	length := benchLength()
	begun := time.Now()
	longRecord(b, file, length)
	b.Logf("%d h recorded in %v", length/benchHour, time.Since(begun).Round(time.Second))
	for _, window := range []struct {
		name   string
		width  int64
		reopen bool // a reader has kept nothing of a long window before
	}{{"10s", 10 * second, false}, {"10min", 600 * second, false}, {"job", length, true}, {"job-again", length, false}} {
		b.Run(window.name, func(b *testing.B) {
			v := &viewing{file: file, length: length, width: window.width, random: rand.New(rand.NewPCG(1, 2))}
			v.open(b)
			v.bench(b, window.reopen)
			v.close(b)
		})
	}
}

// viewing is a record of a length that is looked at in windows of a width.
type viewing struct {
	file          string
	reader        *record.Reader
	length, width int64
	random        *rand.Rand
}

func (v *viewing) open(b *testing.B) {
	var err error
	if v.reader, err = record.Open(v.file); err != nil {
		b.Fatal(err)
	}
}

func (v *viewing) close(b *testing.B) {
	if err := v.reader.Close(); err != nil {
		b.Fatal(err)
	}
}

// processorTime is that of the whole process: wall time says more of what else the
// machine does.
func processorTime(b *testing.B) time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		b.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// window is any of the width.
func (v *viewing) window() trace.Window {
	w := trace.Window{Until: v.width, Columns: 1200}
	if v.width < v.length {
		w.From = v.random.Int64N(v.length - v.width)
		w.Until += w.From
	}
	return w
}

// bare decodes the groups of a window, and does nothing with them.
func (v *viewing) bare(b *testing.B, w trace.Window) time.Duration {
	begun := processorTime(b)
	for _, err := range v.reader.Between(w.Epoch, w.From, w.Until) {
		if err != nil {
			b.Fatal(err)
		}
	}
	return processorTime(b) - begun
}

func (v *viewing) bench(b *testing.B, reopen bool) {
	var took []time.Duration
	var bare time.Duration
	bareRuns, size := 0, 0
	for b.Loop() {
		if reopen {
			v.close(b)
			v.open(b)
		}
		w, begun := v.window(), processorTime(b)
		t, err := readTrace(v.reader, calib.Register{}, w, nil)
		if err != nil {
			b.Fatal(err)
		}
		text, err := t.AppendJSON(nil)
		if err != nil {
			b.Fatal(err)
		}
		took, size = append(took, processorTime(b)-begun), max(size, len(text))
		if b.StopTimer(); v.width < v.length || bareRuns == 0 { // all of a long job is decoded once
			bare, bareRuns = bare+v.bare(b, w), bareRuns+1
		}
		b.StartTimer()
	}
	slices.Sort(took)
	median := took[len(took)/2]
	b.ReportMetric(median.Seconds()*1e3, "p50-ms")
	b.ReportMetric(took[len(took)*99/100].Seconds()*1e3, "p99-ms")
	b.ReportMetric(median.Seconds()/(bare.Seconds()/float64(bareRuns)), "x-bare-decoding")
	b.ReportMetric(float64(size)/1e3, "JSON-kB")
	b.ReportMetric(0, "ns/op") // the quantiles say more
}
