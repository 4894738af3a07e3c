package link

import (
	"hash/crc32"
	"math/rand/v2"
	"testing"
	"time"

	"arctally/acquire/quantity/quantitytest"
	"arctally/acquire/series"

	"github.com/stretchr/testify/require"
)

// arcStream returns frames of a short-circuit arc in the default scales, as a
// box sends them: full of zeros where the voltage is low.
func arcStream(frames int) []byte {
	noise := rand.New(rand.NewPCG(1, 2))
	v, i := make([]int16, MaxSamples), make([]int16, MaxSamples)
	var stream []byte
	for f := range frames {
		for k := range v {
			v[k] = int16(2110 + noise.NormFloat64()*50)
			i[k] = int16(1950 + noise.NormFloat64()*30)
			if k%32 < 6 { // a fifth of the time in a short
				v[k] = int16(200 + noise.NormFloat64()*100)
			}
		}
		h := Header{Boot: 7, Seq: uint32(f), TickUS: uint64(f) * MaxSamples * 100, StepUS: 100}
		stream = AppendSamples(stream, h, v, i)
	}
	return stream
}

// copied keeps the baseline from being optimised away.
var copied uint32

// baseline does the least that any decoder must: one checksum over the bytes,
// and one copy of them. It returns its processor time for n rounds.
func baseline(b *testing.B, stream []byte, n int) time.Duration {
	buffer := make([]byte, len(stream))
	start := quantitytest.ProcessorTime(b)
	for range n {
		copied += crc32.Checksum(stream, castagnoli)
		copy(buffer, stream)
	}
	return quantitytest.ProcessorTime(b) - start
}

func BenchmarkDecode(b *testing.B) {
	const frames = 400
	line := Line{
		Boot: 7, Seq: 123, TickUS: 4567890,
		Voltage: Mean{24.31, true}, Current: Mean{212.4, true}, WireSpeed: Mean{8.12 / 60, true},
	}
	slowChannel, slowValue := make([]uint8, MaxSlow), make([]float64, MaxSlow)
	var idle, sums, slow, delimited, lineProtocol []byte
	v, i := make([]int16, MaxSamples), make([]int16, MaxSamples)
	for k := range v {
		v[k], i[k] = int16(k%7), int16(k%5) // no arc: hardly a byte that is not zero
	}
	for k := range slowValue {
		slowValue[k] = 12.5 + float64(k)/7
	}
	for range frames {
		idle = AppendSamples(idle, Header{StepUS: 100}, v, i)
		sums = AppendSums(sums, Header{StepUS: 200}, series.WindowSums{
			Count: 50, V: 95000, I: 97000, VI: 184e6, VMin: 40, VMax: 2500, IMin: 1500, IMax: 2600, ArcOn: 50,
		})
		slow = AppendSlow(slow, Header{}, slowChannel, slowValue)
		delimited = AppendDelimited(delimited, line)
		lineProtocol = AppendLineProtocol(lineProtocol, "box1", line)
	}
	for _, c := range []struct {
		name, link string
		stream     []byte
		values     int
	}{
		{"samples", Binary, arcStream(frames), frames * 2 * MaxSamples},
		{"samples-no-arc", Binary, idle, frames * 2 * MaxSamples},
		{"sums", Binary, sums, frames},
		{"slow", Binary, slow, frames * MaxSlow},
		{"delimited", Delimited, delimited, 3 * frames},
		{"lineprotocol", LineProtocol, lineProtocol, 3 * frames},
	} {
		b.Run(c.name, func(b *testing.B) {
			d, err := New(c.link)
			require.NoError(b, err)
			if bd, ok := d.(*binaryDecoder); ok {
				bd.channels = 1
			}
			got := 0
			yield := func(r *Reading, err error) {
				if err != nil {
					b.Fatal(err)
				}
				got += len(r.Blocks)
			}
			b.ReportAllocs()
			b.SetBytes(int64(len(c.stream)))
			begun := quantitytest.ProcessorTime(b)
			for b.Loop() {
				d.Decode(c.stream, yield)
			}
			spent := quantitytest.ProcessorTime(b) - begun
			require.Positive(b, got)
			perSecond := float64(c.values) * float64(b.N) / spent.Seconds()
			b.ReportMetric(perSecond/1e6, "Mvalues/core-s")
			b.ReportMetric(spent.Seconds()/baseline(b, c.stream, b.N).Seconds(), "x-crc+copy")
		})
	}
}

func BenchmarkAppendSamples(b *testing.B) {
	v, i := make([]int16, MaxSamples), make([]int16, MaxSamples)
	for k := range v {
		v[k], i[k] = int16(1800+k), int16(1900-k)
	}
	var frame []byte
	b.ReportAllocs()
	begun := quantitytest.ProcessorTime(b)
	for b.Loop() {
		frame = AppendSamples(frame[:0], Header{StepUS: 100}, v, i)
	}
	spent := quantitytest.ProcessorTime(b) - begun
	b.ReportMetric(2*MaxSamples*float64(b.N)/spent.Seconds()/1e6, "Mvalues/core-s")
	b.ReportMetric(spent.Seconds()/baseline(b, frame, b.N).Seconds(), "x-crc+copy")
}
