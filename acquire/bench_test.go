package acquire_test

import (
	"bytes"
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/acquire"
	"arctally/acquire/acquiretest"
	"arctally/acquire/link"
	"arctally/acquire/quantity/quantitytest"
	"arctally/acquire/series"
)

// nothing is a sink that costs nothing.
type nothing struct{}

func (nothing) Source(series.Source) error { return nil }
func (nothing) Block(*series.Block) error  { return nil }
func (nothing) Event(series.Event) error   { return nil }

// fullFrames returns n frames of as many samples as fit in one, at 10 kHz.
func fullFrames(t testing.TB, n int) []byte {
	h := link.Header{StepUS: stepUS}
	stream, err := link.AppendHello(nil, h, described())
	require.NoError(t, err)
	v, i := make([]int16, link.MaxSamples), make([]int16, link.MaxSamples)
	for f := range n {
		for k := range v {
			v[k], i[k] = int16(2000+(f*k)%400), int16(1900+k)
		}
		h.Seq++
		stream = link.AppendSamples(stream, h, v, i)
		h.TickUS += link.MaxSamples * stepUS
	}
	return stream
}

func recordNothing(t testing.TB, stream []byte) acquire.Tally {
	tally, err := acquiretest.Record(context.Background(), bytes.NewReader(stream), acquiretest.Config{Link: link.Binary, Sinks: []series.Sink{nothing{}}})
	require.NoError(t, err)
	return tally
}

// A recording allocates for its beginning and its end, and nothing for a frame.
func TestRecord_AllocatesNothingForAFrame(t *testing.T) {
	short, long := fullFrames(t, 1000), fullFrames(t, 3000)
	few := testing.AllocsPerRun(5, func() { recordNothing(t, short) })
	many := testing.AllocsPerRun(5, func() { recordNothing(t, long) })
	require.InDelta(t, few, many, 10, "2000 more frames")
}

// The whole way of the bytes through the Recorder, against the decoder alone
// in the same run, in processor time: what is over 1 is the Recorder's own share.
func BenchmarkRecord(b *testing.B) {
	const frames = 4000
	stream := fullFrames(b, frames)
	decode := func() {
		decoder, err := link.New(link.Binary)
		require.NoError(b, err)
		for rest := stream; len(rest) > 0; {
			n := min(len(rest), 64<<10)
			decoder.Decode(rest[:n], func(*link.Reading, error) {})
			rest = rest[n:]
		}
	}
	decode()
	var baseline, whole time.Duration
	b.ReportAllocs()
	for b.Loop() {
		begun := quantitytest.ProcessorTime(b)
		decode()
		decoded := quantitytest.ProcessorTime(b)
		recordNothing(b, stream)
		baseline += decoded - begun
		whole += quantitytest.ProcessorTime(b) - decoded
	}
	b.ReportMetric(float64(whole)/float64(baseline), "x-decode")
	b.ReportMetric(float64(b.N)*frames*link.MaxSamples/whole.Seconds()/1e6, "Msamples/core-s")
}
