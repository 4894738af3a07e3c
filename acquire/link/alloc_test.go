package link

import (
	"testing"

	"arctally/acquire/series"

	"github.com/stretchr/testify/assert"
)

// steadyStreams holds a stream of each kind for which decoding may not allocate.
func steadyStreams() map[string]struct {
	link   string
	stream []byte
} {
	h := Header{Boot: 7, StepUS: 100}
	l := Line{Boot: 7, Voltage: Mean{24.31, true}, Current: Mean{212.4, true}, WireSpeed: Mean{0.125, true}}
	type stream = struct {
		link   string
		stream []byte
	}
	return map[string]stream{
		"samples":      {Binary, AppendSamples(nil, h, []int16{1, 2, 3}, []int16{4, 5, 6})},
		"sums":         {Binary, AppendSums(nil, h, series.WindowSums{Count: 2, V: 1, I: 1, VMax: 1, IMax: 1})},
		"slow":         {Binary, AppendSlow(nil, h, []uint8{1, 1}, []float64{1, 2})},
		"turn":         {Binary, AppendTurn(nil, h, []uint64{1, 2}, []int32{3, 4})},
		"delimited":    {Delimited, AppendDelimited(nil, l)},
		"lineprotocol": {LineProtocol, AppendLineProtocol(nil, "box1", l)},
	}
}

func TestDecodeDoesNotAllocate(t *testing.T) {
	for name, c := range steadyStreams() {
		t.Run(name, func(t *testing.T) {
			d, _ := described(t, c.link)
			blocks := 0
			yield := func(r *Reading, err error) {
				if err != nil {
					t.Fatal(err)
				}
				blocks += len(r.Blocks)
			}
			half := len(c.stream) / 2
			allocs := testing.AllocsPerRun(2000, func() {
				d.Decode(c.stream, yield)
				d.Decode(c.stream[:half], yield) // and across two calls
				d.Decode(c.stream[half:], yield)
			})
			assert.Zero(t, allocs)
			assert.GreaterOrEqual(t, blocks, 4000)
		})
	}
}

func TestAppendDoesNotAllocate(t *testing.T) {
	h := Header{Boot: 7, StepUS: 100}
	l := Line{Boot: 7, Voltage: Mean{24.31, true}, Current: Mean{212.4, true}, WireSpeed: Mean{0.125, true}}
	v, i := make([]int16, MaxSamples), make([]int16, MaxSamples)
	channel, value := []uint8{2, 3}, []float64{1, 2}
	tickUS, count := []uint64{1, 2}, []int32{3, 4}
	sums := series.WindowSums{Count: 1}
	buffer := make([]byte, 0, 8192)
	assert.Zero(t, testing.AllocsPerRun(1000, func() {
		buffer = AppendSamples(buffer[:0], h, v, i)
		buffer = AppendSums(buffer, h, sums)
		buffer = AppendSlow(buffer, h, channel, value)
		buffer = AppendTurn(buffer, h, tickUS, count)
		buffer = AppendDelimited(buffer, l)
		buffer = AppendLineProtocol(buffer, "box1", l)
	}))
}
