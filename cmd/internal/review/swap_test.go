package review_test

import (
	"bytes"
	"context"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire"
	"arctally/acquire/calib"
	"arctally/acquire/link"
	"arctally/acquire/record"
	"arctally/acquire/sensorbox"
	"arctally/acquire/series"
	"arctally/analyze"
	"arctally/analyze/heat"
	"arctally/analyze/proof"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/jobfile/jobtest"
	"arctally/cmd/internal/review"
	"arctally/cmd/internal/shelf"
	"arctally/cmd/internal/virtualbox"
)

// bench is one record on which boxes speak.
type bench struct {
	t    *testing.T
	job  *jobfile.File
	file string
	live analyze.Result // as it was judged while it was recorded
}

func newBench(t *testing.T) *bench {
	p, err := jobfile.Read(jobtest.Short(t, "helix", jobtest.TwoTurns))
	require.NoError(t, err)
	return &bench{t: t, job: p, file: filepath.Join(t.TempDir(), "swapped.arctally")}
}

// bytesOf is what a box of a serial says while it lays one layer.
func (b *bench) bytesOf(serial string, seed uint64) []byte {
	plan := virtualbox.Plan(b.job, 1, nil)
	plan.Serial, plan.Seed, plan.SampleRate = serial, seed, 1000
	box, err := sensorbox.New(plan)
	require.NoError(b.t, err)
	var stream bytes.Buffer
	_, err = box.Write(b.t.Context(), &stream)
	require.NoError(b.t, err)
	return stream.Bytes()
}

// record records streams that come one after another on one port, and judges them.
func (b *bench) record(port string, streams ...[]byte) {
	b.t.Helper()
	_, err := os.Stat(b.file)
	more := err == nil
	run := analyze.New(b.job.Job, nil)
	var writer *record.Writer
	epoch := 0
	if more {
		writer, err = record.Append(b.file)
		require.NoError(b.t, err)
		require.NoError(b.t, writer.Sync())
		reader, err := record.Open(b.file)
		require.NoError(b.t, err)
		later, err := review.LaterCalibrations(reader, b.job)
		require.NoError(b.t, err)
		review.Calibrate(run, later)
		require.NoError(b.t, review.Feed(b.t.Context(), reader, run, func(float64) {}))
		require.NoError(b.t, reader.Close())
		if last, _, any := writer.Last(); any {
			epoch = last + 1
		}
	} else {
		writer, err = b.job.CreateRecord(b.file, time.Now())
		require.NoError(b.t, err)
	}
	now := time.Date(2026, 5, 4, 8, 0, 0, 0, time.UTC)
	box, err := acquire.NewLine(bytes.NewReader(bytes.Join(streams, nil)), link.Binary, func() time.Time {
		now = now.Add(10 * time.Millisecond)
		return now
	})
	require.NoError(b.t, err)
	box.Source.Port = port
	_, err = acquire.RecordBoxes(b.t.Context(), []acquire.Box{box}, acquire.Config{Sinks: []series.Sink{writer, run}, Epoch: epoch})
	require.NoError(b.t, err)
	require.NoError(b.t, writer.Close())
	b.live = run.Finish()
}

// check puts a check of gain 1.2 on record, made with a box; empty is not said.
func (b *bench) check(box string) {
	b.t.Helper()
	c := &calib.Check{
		Subject: calib.MeterCheck, Channel: "voltage", Done: time.Now(), By: "x", Box: box,
		Calibration: &calib.Calibration{Channel: "voltage", Gain: 1.2, Relative: 0.001, Date: "2026-05-04", Box: box},
	}
	writer, err := record.Amend(b.file)
	if err != nil {
		writer, err = b.job.CreateRecord(b.file, time.Now())
	}
	require.NoError(b.t, err)
	require.NoError(b.t, writer.Check(c))
	require.NoError(b.t, writer.Close())
}

// review judges the record as it is read; it must be as it was judged live.
func (b *bench) review() *review.Review {
	b.t.Helper()
	r, err := review.Judge(context.Background(), b.file, "", func(float64) {})
	require.NoError(b.t, err)
	b.t.Cleanup(func() { assert.NoError(b.t, r.Close()) })
	assert.Equal(b.t, b.live.Warnings, r.Result.Warnings)
	assert.True(b.t, assert.ObjectsAreEqual(b.live, r.Result), "live is not as reviewed")
	assert.NoError(b.t, record.Verify(b.file))
	return r
}

// volts are the mean voltages of the passes, and which of them are calibrated.
func volts(r *review.Review) (means []float64, calibrated []bool) {
	for _, p := range r.Result.Passes {
		means, calibrated = append(means, float64(*p.VoltageMean)), append(calibrated, p.Budget[0].Basis != heat.StandIn)
	}
	return means, calibrated
}

func warned(r *review.Review, kind string) (texts []string) {
	for _, w := range r.Result.Warnings {
		if w.Kind == kind {
			texts = append(texts, w.Text)
		}
	}
	return texts
}

// The box is swapped in mid-pass for another of the same kind on the same port: what
// it measures is under no calibration of the first, and is named.
func TestSwap_inMidPass(t *testing.T) {
	for name, seed := range map[string]uint64{"another boot number": 2, "the same boot number": 1} {
		b := newBench(t)
		b.check("A")
		first, second := b.bytesOf("A", 1), b.bytesOf("B", seed)
		b.record("/dev/p", first[:len(first)/2], second)
		r := b.review()
		means, calibrated := volts(r)
		require.Equal(t, []bool{true, false, false}, calibrated, name) // what was left of the layer, and more of it
		assert.InDelta(t, 1.2, means[0]/means[1], 0.01, name)
		require.Len(t, warned(r, "box"), 1, name)
		assert.Contains(t, warned(r, "box")[0], "another box measures from here on: box B in place of box A", name)
		assert.Contains(t, strings.Join(warned(r, "no-calibration"), "\n"), "no calibration of voltage holds for 2 of 3 passes: the calibration of voltage is that of box A, and box B measured", name)
		s := r.Sheet()
		assert.Equal(t, proof.AnotherBox, s.Proof.Passes[1].Reasons[0].Kind)
		assert.NotContains(t, kindsOf(s.Proof.Passes[0].Reasons), proof.AnotherBox)
	}
}

func kindsOf(reasons []proof.Reason) (kinds []proof.Kind) {
	for _, r := range reasons {
		kinds = append(kinds, r.Kind)
	}
	return kinds
}

// The box is swapped before the record is gone on with, and back again.
func TestSwap_beforeAppending(t *testing.T) {
	b := newBench(t)
	b.record("/dev/p", b.bytesOf("A", 1))
	b.check("A")
	b.record("/dev/p", b.bytesOf("B", 1))
	b.record("/dev/q", b.bytesOf("A", 1))
	r := b.review()
	means, calibrated := volts(r)
	require.Len(t, means, 3)
	assert.Equal(t, []bool{false, false, true}, calibrated)
	assert.InDelta(t, means[0], means[1], 1e-9)
	assert.InDelta(t, 1.2, means[2]/means[0], 1e-4)
	assert.Len(t, warned(r, "box"), 2)
	in := r.Register().InForce()
	assert.Equal(t, "A", in[len(in)-1].Box)
}

// The box is swapped between the check and the recording.
func TestSwap_betweenCheckAndRecording(t *testing.T) {
	b := newBench(t)
	b.check("A")
	b.record("/dev/p", b.bytesOf("B", 1))
	_, calibrated := volts(b.review())
	assert.Equal(t, []bool{false}, calibrated)

	b = newBench(t)
	b.check("") // typed in, with a box that nobody named: that which is recorded first
	b.record("/dev/p", b.bytesOf("A", 1))
	b.record("/dev/p", b.bytesOf("B", 1))
	_, calibrated = volts(b.review())
	assert.Equal(t, []bool{true, false}, calibrated)
}

// A box without a serial is known by its port alone.
func TestSwap_withoutASerial(t *testing.T) {
	b := newBench(t)
	b.check("port /dev/p")
	b.record("/dev/p", b.bytesOf(" ", 1))
	b.record("/dev/q", b.bytesOf(" ", 1))
	r := b.review()
	_, calibrated := volts(r)
	assert.Equal(t, []bool{true, false}, calibrated)
	assert.Contains(t, warned(r, "box")[0], "the box on port /dev/q in place of the box on port /dev/p")
}

// The export and the trace of another box are as uncorrected as its passes.
func TestSwap_exports(t *testing.T) {
	b := newBench(t)
	b.check("A")
	b.record("/dev/p", b.bytesOf("A", 1))
	b.record("/dev/p", b.bytesOf("B", 1))
	r := b.review()
	var out bytes.Buffer
	require.NoError(t, r.Export(t.Context(), &out, review.Form{Format: review.FormatCSV, Table: review.TableSamples}, func(float64) {}))
	lines := strings.Split(strings.TrimSpace(out.String()), "\n")
	half := (len(lines) - 1) / 2
	sums := [2]float64{}
	for k, line := range lines[1:] {
		v, err := strconv.ParseFloat(strings.Split(line, ",")[4], 64)
		require.NoError(t, err)
		sums[min(1, k/half)] += v
	}
	assert.InDelta(t, 1.2, sums[0]/sums[1], 1e-6)
	unjudged, err := review.OpenUnjudged(b.file)
	require.NoError(t, err)
	for epoch, want := range []float64{1.2, 1} {
		ch := series.Channel{Name: "voltage"}
		assert.Equal(t, want, unjudged.Register().Corrected(calib.InUnit(), ch, epoch, 1e9).Scale, "as a trace has it")
		assert.Equal(t, want, r.Register().Corrected(calib.InUnit(), ch, epoch, 1e9).Scale, "as an export has it")
	}
	require.NoError(t, unjudged.Close())
}

// What a recording came to is there at the first look, and is what reading the record
// gives, to the bit; so it is where the record was gone on with.
func TestKeepLive(t *testing.T) {
	b := newBench(t)
	ctx := shelf.New(filepath.Join(t.TempDir(), "results"), "program", shelf.Limit).With(t.Context())
	for _, serial := range []string{"A", "B"} {
		b.record("/dev/p", b.bytesOf(serial, 1))
		review.KeepLive(t.Context(), b.file, b.live) // without a shelf
		review.KeepLive(ctx, b.file, b.live)
		read := b.review()
		kept, err := review.Judge(ctx, b.file, "", func(float64) { t.Error("it was read") })
		require.NoError(t, err)
		assert.Equal(t, read.Result.Passes, kept.Result.Passes)
		var printed [2]bytes.Buffer
		for k, r := range []*review.Review{read, kept} {
			require.NoError(t, r.WriteJSON(&printed[k]))
		}
		assert.Equal(t, printed[0].String(), printed[1].String())
		means := 0
		for epoch := range 3 {
			judged, err := kept.Means(t.Context(), epoch, math.MinInt64, math.MaxInt64)
			require.NoError(t, err)
			want := slices.Collect(read.Result.Judged.During(epoch, math.MinInt64, math.MaxInt64))
			assert.Equal(t, want, slices.Collect(judged.During(epoch, math.MinInt64, math.MaxInt64)))
			means += len(want)
		}
		assert.NotZero(t, means)
		require.NoError(t, kept.Close())
	}
}

// What cannot be kept is passed over in silence: a recording has not failed for it.
func TestKeepLive_nothingToKeep(t *testing.T) {
	b := newBench(t)
	folder := filepath.Join(t.TempDir(), "results")
	ctx := shelf.New(folder, "program", shelf.Limit).With(t.Context())
	review.KeepLive(ctx, b.file, b.live)
	b.record("/dev/p", b.bytesOf("A", 1))
	require.NoError(t, os.WriteFile(b.file+"-wal", []byte("somebody goes on"), 0o600))
	review.KeepLive(ctx, b.file, b.live)
	assert.NoDirExists(t, folder)
}
