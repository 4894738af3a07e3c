package acquire_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

// By the channels that the job names it may be settled before anything is heard.
func TestRecordBoxes_WhoTellsTheArcByTheJob(t *testing.T) {
	gas, arc := companionSource(), on("b")
	for _, c := range []struct {
		sources []series.Source
		want    []int
	}{
		{[]series.Source{arc, gas, gas}, []int{0, 1, 2}},
		{[]series.Source{gas, arc, gas}, []int{1, 0, 2}},
		{[]series.Source{gas, gas}, []int{0, 1}},
		{[]series.Source{arc, arc}, []int{0, 1}},
	} {
		s := newStage(t, c.sources...)
		s.end()
		var numbers []int
		for _, tally := range s.tally {
			numbers = append(numbers, tally.Box)
		}
		assert.Equal(t, c.want, numbers)
	}
}

// The first describes itself as one that samples neither: the next one that may tells
// the arc from then on, in an epoch of its own.
func TestRecordBoxes_TheFirstTurnsOutNotToTellTheArc(t *testing.T) {
	s := newStage(t, on("a"), on("b"))
	arc, gas := newBox(t), newBox(t)
	arc.hello(described())
	arc.arc(2)
	s.says(1, arc)
	gas.hello(companionSource())
	gas.slow(0, 14)
	s.says(0, gas)
	arc.arc(3)
	s.says(1, arc)
	m := s.end()
	require.NoError(t, s.err)
	m.boxOf(t)
	assert.Len(t, m.of(1).samples(), 2*samples, "before it was known")
	told := m.of(0).samples()
	require.Len(t, told, 3*samples)
	assert.True(t, told[0].begin)
	assert.Equal(t, "from here on the box on b tells the arc: the box on a samples neither voltage nor current", m.events1(t, series.ArcTold).Text)
	var boxes []int
	for _, source := range m.sources {
		boxes = append(boxes, source.Box)
	}
	assert.Equal(t, []int{1, 0, 2}, boxes)
	assert.Len(t, m.of(2).blocks, 1, "the first has a number that no other had")
}

// Two in a row that sample neither, and what was assumed of the first before it spoke.
func TestRecordBoxes_TheThirdTellsTheArc(t *testing.T) {
	s := newStage(t, on("a"), on("b"), on("c"))
	gas := newBox(t)
	gas.slow(0, 13)
	s.says(0, gas)
	for k := range 2 {
		gas.hello(companionSource())
		gas.slow(0, 14)
		s.says(k, gas)
	}
	arc := newBox(t)
	arc.hello(described())
	arc.arc(1)
	s.says(2, arc)
	m := s.end()
	m.boxOf(t)
	assert.Len(t, m.of(0).samples(), samples)
	assert.Len(t, m.of(3).blocks, 1, "the first")
	assert.Len(t, m.of(1).blocks, 0, "what the second had is nobody's")
	assert.Len(t, m.of(4).blocks, 1, "the second, which was to tell the arc after it")
	assert.Equal(t, 0, s.tally[2].Box)
}

// A box that has sampled voltage and current is not replaced by what is said later.
func TestRecordBoxes_WhoHasToldTheArcStays(t *testing.T) {
	s := newStage(t, on("a"), on("b"))
	first, second := newBox(t), newBox(t)
	first.hello(described())
	first.arc(1)
	s.says(0, first)
	second.hello(described())
	second.arc(1)
	s.says(1, second)
	first.hello(companionSource())
	s.says(0, first)
	second.arc(1)
	s.says(1, second)
	m := s.end()
	assert.Len(t, m.of(1).samples(), 2*samples)
	assert.Equal(t, 0, s.tally[0].Box)
}

// Where no box may tell the arc, the first keeps its number.
func TestRecordBoxes_NobodyTellsTheArc(t *testing.T) {
	s := newStage(t, on("a"), companionSource())
	gas := newBox(t)
	gas.hello(companionSource())
	s.says(0, gas)
	m := s.end()
	require.Len(t, m.sources, 1)
	assert.Equal(t, 0, m.sources[0].Box)
}
