package recording

import (
	"context"
	"errors"
	"io"
	"math"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire"
	"arctally/acquire/link"
	"arctally/acquire/sensorbox"
	"arctally/acquire/series"
	"arctally/analyze"
	"arctally/analyze/finding"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/jobfile/jobtest"
	"arctally/cmd/internal/review"
	"arctally/cmd/internal/terminal"
)

var noon = time.Date(2026, 11, 27, 12, 0, 0, 0, time.UTC)

// farBox is a box at the far end of a link: its clock drifts, and what it says arrives
// late, and at times all at once.
type farBox struct {
	source        series.Source
	booted        int64 // ns on its clock as the others begin
	ppm           float64
	least, jitter time.Duration
	answers       bool
	away          [2]time.Duration // nothing arrives in between, and then all of it
	reads         []read
}

// read is what arrives at one host time.
type read struct {
	arrival  time.Duration // after noon
	readings []*link.Reading
}

// says puts a reading, whose ticks are true times, on its way.
func (b *farBox) says(at time.Duration, r *link.Reading) {
	r.Seq, r.HasSeq = uint32(len(b.reads)), true
	r.Tick = b.tick(r.Tick)
	for k := range r.Blocks {
		x := &r.Blocks[k]
		x.Tick = b.tick(x.Tick)
		for i := range x.Ticks {
			x.Ticks[i] = b.tick(x.Ticks[i])
		}
	}
	b.reads = append(b.reads, read{at, []*link.Reading{r}})
}

// tick is what its clock shows at a true time in ns.
func (b *farBox) tick(at int64) int64 { return b.booted + int64(float64(at)*(1+b.ppm*1e-6)) }

// travel lets what it said arrive: with jitter, and stalls of the host of up to 0.8 s.
func (b *farBox) travel(seed uint64) {
	random := rand.New(rand.NewPCG(seed, 7))
	delay := func() time.Duration { return b.least + time.Duration(random.Int64N(int64(b.jitter))) }
	stalled, last, asked := time.Duration(0), time.Duration(0), time.Second
	for k := range b.reads {
		r := &b.reads[k]
		said := r.arrival
		if said >= b.away[0] && said < b.away[1] {
			stalled = b.away[1]
		}
		if random.IntN(2000) == 0 {
			stalled = said + time.Duration(random.Int64N(int64(800*time.Millisecond)))
		}
		last = max(said+delay(), stalled, last)
		r.arrival = last
		if b.answers && said > asked {
			asked = said + time.Second
			heard := said + delay()
			pong := &link.Pong{Tick: b.tick(int64(heard))}
			r.readings[0].Pong, r.readings[0].Asked = pong, noon.Add(said)
		}
	}
}

// turns is a talker that talks when it is told to.
type turns struct{ say, said chan *read }

func (a *turns) Talk(ctx context.Context, to acquire.Listener) error {
	for {
		select {
		case <-ctx.Done():
			return nil
		case r, more := <-a.say:
			if !more {
				return nil
			}
			at := noon.Add(r.arrival)
			for _, reading := range r.readings {
				to.Heard(at, reading, nil)
			}
			to.Through(at, 64)
			a.said <- r
		}
	}
}

// halves has the virtual box lay a job, and gives what it says to two: voltage, current
// and turns to one, everything else to the other.
func halves(t *testing.T, p *jobfile.File, arc, beside *farBox, faults ...sensorbox.Fault) (truth sensorbox.Truth) {
	t.Helper()
	plan := sensorbox.Demo()
	plan.Layers, plan.Length, plan.Faults = 1, p.Job.Bore.Length, faults
	box, err := sensorbox.New(plan)
	require.NoError(t, err)
	all := box.Plan().Source()
	arc.source, beside.source = all, all
	arc.source.Channels = all.Channels[:2]
	beside.source.Name, beside.source.CountsPerTurn, beside.source.Channels = "beside", 0, all.Channels[2:]
	decoder, err := link.New(link.Binary)
	require.NoError(t, err)
	in, out := io.Pipe()
	go func() {
		var err error
		truth, err = box.Write(t.Context(), out)
		_ = out.CloseWithError(err)
	}()
	buf := make([]byte, 1<<16)
	for {
		n, err := in.Read(buf)
		decoder.Decode(buf[:n], func(r *link.Reading, damage error) {
			require.NoError(t, damage)
			share(r, arc, beside)
		})
		if errors.Is(err, io.EOF) {
			return truth
		}
		require.NoError(t, err)
	}
}

// share gives a reading to whom it belongs.
func share(r *link.Reading, arc, beside *farBox) {
	own := &link.Reading{Boot: 1, Tick: r.Tick}
	at := time.Duration(r.Tick)
	if r.Source != nil {
		for _, b := range []*farBox{arc, beside} {
			b.says(at, &link.Reading{Boot: 1, Tick: r.Tick, Source: &b.source})
		}
		return
	}
	to := arc
	for k := range r.Blocks {
		var x series.Block
		x.CopyFrom(&r.Blocks[k])
		if x.Kind == series.Slow {
			to = beside
			for i := range x.Channel {
				x.Channel[i] -= 2
			}
		}
		at = max(at, time.Duration(x.At(x.Len()-1)))
		own.Blocks = append(own.Blocks, x)
	}
	to.says(at, own)
}

// recordBoxes has a session's parts record boxes in the order of their arrivals, and judge them.
func recordBoxes(t *testing.T, p *jobfile.File, file string, boxes ...*farBox) (result analyze.Result, again bool) {
	t.Helper()
	judge := newJudge(terminal.New(io.Discard, io.Discard), p.Job, time.Minute, func() {})
	writer, err := p.CreateRecord(file, noon)
	require.NoError(t, err)
	judge.hears(len(boxes), review.BaudOf(p.Job))
	judge.start(writer, 0)
	var talkers []*turns
	var heard []acquire.Box
	type arrival struct {
		box int
		*read
	}
	var all []arrival
	for k, b := range boxes {
		talkers = append(talkers, &turns{make(chan *read), make(chan *read)})
		heard = append(heard, acquire.Box{Talker: talkers[k], Source: b.source})
		for i := range b.reads {
			all = append(all, arrival{k, &b.reads[i]})
		}
	}
	slices.SortStableFunc(all, func(a, b arrival) int { return int(a.arrival - b.arrival) })
	ended := make(chan error, 1)
	go func() {
		_, err := acquire.RecordBoxes(t.Context(), heard, acquire.Config{Sinks: []series.Sink{writer, judge}, Beat: make(chan time.Time)})
		ended <- err
	}()
	for _, a := range all {
		talkers[a.box].say <- a.read
		<-talkers[a.box].said
	}
	for _, talker := range slices.Backward(talkers) {
		close(talker.say)
	}
	require.NoError(t, <-ended)
	judge.end()
	require.NoError(t, writer.Close())
	result, again, err = judge.finish()
	require.NoError(t, err)
	return result, again
}

// The wire slips while another box than that of the arc measures it: it is found where it
// was, within what is said to be not known, and what is judged live is what is read.
// Where the other box was heard too late for that, the record is judged anew.
func TestBoxes_wireSlipBesideTheArc(t *testing.T) {
	if testing.Short() {
		t.Skip("it lays a turn three times")
	}
	p, err := jobfile.Read(jobtest.Short(t, "helix", jobtest.OneTurn))
	require.NoError(t, err)
	slip := sensorbox.Fault{Kind: sensorbox.WireSlip, Pass: 1, Turn: 1, From: 200, Duration: 4}
	for seed, c := range []struct {
		name    string
		answers bool
		away    [2]time.Duration
	}{
		{"without round trips", false, [2]time.Duration{}},
		{"with round trips", true, [2]time.Duration{}},
		{"heard late", true, [2]time.Duration{20 * time.Second, 45 * time.Second}},
	} {
		t.Run(c.name, func(t *testing.T) {
			arc, beside := &farBox{booted: 3e9, ppm: 50, least: time.Millisecond}, &farBox{booted: 3600e9, ppm: -30, least: 16 * time.Millisecond, away: c.away}
			truth := halves(t, p, arc, beside, slip)
			for k, b := range []*farBox{arc, beside} {
				b.jitter, b.answers = 2*time.Millisecond, c.answers
				b.travel(uint64(10*seed + k))
			}
			file := filepath.Join(t.TempDir(), "r.arctally")
			live, again := recordBoxes(t, p, file, arc, beside)
			require.Equal(t, c.away[1] > 0, again)

			r, err := review.Judge(t.Context(), file, "", func(float64) {})
			require.NoError(t, err)
			require.NoError(t, r.Close())
			if !again {
				assert.Equal(t, live.Passes, r.Result.Passes)
				assert.Equal(t, live.Findings, r.Result.Findings)
				assert.Equal(t, live.Warnings, r.Result.Warnings)
			}
			found(t, &r.Result, truth.Faults[0])
		})
	}
}

// found wants a slip of the wire at its place.
func found(t *testing.T, result *analyze.Result, truth sensorbox.FaultTruth) {
	k := slices.IndexFunc(result.Findings, func(f finding.Finding) bool { return f.Rule == finding.WireSpeed })
	require.GreaterOrEqual(t, k, 0, "%v", result.Findings)
	f := result.Findings[k]
	require.NotNil(t, f.Place)
	off := math.Remainder(float64(f.Place.Angle-truth.Angle), 360)
	require.NotNil(t, result.Passes[0].Wire, "the wire is that of the other box")
	var offsets []analyze.Warning
	for _, w := range result.Warnings {
		if w.Kind == string(series.Offset) {
			offsets = append(offsets, w)
		}
	}
	require.Len(t, offsets, 1, "%v", result.Warnings)
	t.Logf("found %.3f deg off, said to be known to +-%.3f; %s", off, float64(f.Place.AngleUncertainty), offsets[0].Text)
	assert.LessOrEqual(t, math.Abs(off), float64(f.Place.AngleUncertainty))
	assert.Less(t, math.Abs(off), 0.3, "though the clocks began an hour apart")
}
