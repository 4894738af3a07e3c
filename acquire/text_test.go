package acquire_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/link"
	"arctally/acquire/series"
)

// lines writes lines of a text link, 20 ms apart.
func lines(seqs ...uint32) []byte {
	var stream []byte
	for _, seq := range seqs {
		stream = link.AppendDelimited(stream, link.Line{
			Boot: 3, Seq: seq, TickUS: uint64(seq) * 20_000,
			Voltage: link.Mean{Value: float64(seq), Known: true},
			Current: link.Mean{Value: 200, Known: true},
		})
	}
	return stream
}

func TestRecord_Lines(t *testing.T) {
	m, tally := record(t, link.Delimited, cut(lines(1, 2, 3, 4, 8, 9), 1000, 0))
	assert.Equal(t, []string{"source", "arc", "gap", "break arc"}, m.calls)
	assert.Equal(t, link.DefaultSource(link.Delimited), m.sources[0])
	assert.Equal(t, int64(3), m.events1(t, series.Gap).Count)
	assert.Equal(t, int64(3), tally.Lost)
	require.Len(t, m.blocks, 2)
	assert.Equal(t, []int64{20e6, 40e6, 60e6, 80e6}, m.blocks[0].Ticks, "every line has a tick of its own")
	assert.Equal(t, []int32{1e6, 2e6, 3e6, 4e6}, m.blocks[0].V)
	assert.Equal(t, []int64{160e6, 180e6}, m.blocks[1].Ticks)
}

// A line that does not know its voltage is missing from the samples: nothing
// joins those before and after it.
func TestRecord_LineWithoutVoltage(t *testing.T) {
	stream := lines(1, 2)
	stream = link.AppendDelimited(stream, link.Line{Boot: 3, Seq: 3, TickUS: 60_000, Current: link.Mean{Value: 200, Known: true}})
	stream = append(stream, lines(4, 5)...)
	m, tally := record(t, link.Delimited, cut(stream, len(stream), 0))
	assert.Equal(t, []string{"source", "arc", "break arc"}, m.calls)
	assert.Equal(t, int64(4), tally.Samples)
	assert.Zero(t, tally.Lost)
}

// Lines may bear one tick: they are samples one after the other all the same.
func TestRecord_LinesOfOneTick(t *testing.T) {
	var stream []byte
	for seq, tickUS := range []uint64{0, 50_000, 50_000, 100_000, 100_001} {
		stream = link.AppendDelimited(stream, link.Line{
			Boot: 3, Seq: uint32(seq), TickUS: tickUS,
			Voltage: link.Mean{Value: 20, Known: true}, Current: link.Mean{Value: 200, Known: true},
		})
	}
	m, _ := record(t, link.Delimited, cut(stream, len(stream), 0))
	require.Len(t, m.blocks, 2)
	assert.Equal(t, []int64{0, 50e6, 50e6, 100e6}, m.blocks[0].Ticks, "100 ms, and no more")
	assert.Equal(t, []int64{100_001_000}, m.blocks[1].Ticks)
	assert.False(t, m.blocks[1].Break)
}

// A block of lines spans 100 ms at most, so that turns and samples stay abreast.
func TestRecord_BlocksOfLinesAreBounded(t *testing.T) {
	m, _ := record(t, link.Delimited, cut(lines(1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12), 1000, 0))
	for _, b := range m.blocks {
		assert.LessOrEqual(t, b.At(b.Len()-1)-b.Tick, int64(100*time.Millisecond))
		assert.False(t, b.Break)
	}
	assert.Len(t, m.samples(), 12)
}
