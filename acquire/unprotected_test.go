package acquire

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/link"
	"arctally/acquire/series"
)

// breaks is a sink that keeps where blocks break.
type breaks struct{ at []int64 }

func (b *breaks) Source(series.Source) error { return nil }
func (b *breaks) Event(series.Event) error   { return nil }

func (b *breaks) Block(block *series.Block) error {
	if block.Break {
		b.at = append(b.at, block.Tick)
	}
	return nil
}

// A link without sequence numbers cannot show what a damaged line has cost: the
// damage itself is the break.
func TestRecorder_DamageWithoutSequenceNumbers(t *testing.T) {
	sink := &breaks{}
	box := Box{Source: link.DefaultSource(link.Delimited)}
	r := newEnsemble([]Box{box}, Config{Sinks: []series.Sink{sink}}, func() {}).recorders[0]
	line := func(tick int64) {
		r.take(&link.Reading{Tick: tick, Blocks: []series.Block{
			{Kind: series.Arc, Tick: tick, V: []int32{1}, I: []int32{2}},
		}}, nil)
	}
	line(1)
	line(2)
	r.take(nil, errors.New("line is cut"))
	line(4)
	line(5)
	r.finish()
	require.NoError(t, r.out.err)
	assert.Equal(t, []int64{4}, sink.at)
	assert.Equal(t, int64(1), r.tally.Damaged)
	assert.Equal(t, int64(1), r.tally.Epochs)
}
