package live

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

// Each box is heard for itself.
func TestBoxes(t *testing.T) {
	now := time.Date(2026, 5, 4, 8, 0, 0, 0, time.UTC)
	b := NewBoxes([]string{"/dev/a", "/dev/b"}, []int{0, 1}, func() time.Time { return now })
	b.Source(series.Source{Name: "arc", Serial: "1", Port: "/dev/a"})
	b.Source(series.Source{Box: 1, Name: "gas", Port: "/dev/b"})
	b.Account(0, Received{Frames: 5})
	b.Account(1, Received{Frames: 7, Damaged: 2})
	list := b.List()
	require.Len(t, list, 2)
	assert.Equal(t, []int{0, 1}, []int{list[0].Box, list[1].Box})
	assert.Equal(t, "1", *list[0].Serial)
	assert.Equal(t, "gas", *list[1].Name)
	assert.Nil(t, list[1].Serial)
	assert.Equal(t, []int64{5, 7}, []int64{list[0].Link.Frames, list[1].Link.Frames})
	assert.Equal(t, []LinkState{LinkGood, LinkDoubtful}, []LinkState{list[0].Link.State, list[1].Link.State})
	assert.Equal(t, "/dev/a", b.Arc().Port)

	b.Event(series.Event{Kind: series.Unplugged, Box: 1, Text: "gone"})
	assert.Equal(t, LinkGood, b.Arc().State)
	assert.Equal(t, LinkUnplugged, b.List()[1].Link.State)
	b.Event(series.Event{Kind: series.Replugged, Box: 1})
	b.Event(series.Event{Kind: series.Failed, Box: 1, Text: "no valid frame"})
	assert.Equal(t, Link{State: LinkDoubtful, Words: "no valid frame", Port: "/dev/b", Frames: 7, Damaged: 2}, b.List()[1].Link)
	b.Event(series.Event{Kind: series.Heard, Box: 1})
	now = now.Add(10 * time.Second)
	assert.Equal(t, LinkSilent, b.Arc().State)
	assert.NotEqual(t, LinkSilent, b.List()[1].Link.State, "one beside the arc may speak every few seconds")
	now = now.Add(time.Millisecond)
	assert.Equal(t, LinkSilent, b.List()[1].Link.State)
}

// Values of any kind count as samples of a box beside the arc.
func TestBoxes_RateOfSlowValues(t *testing.T) {
	b := NewBoxes([]string{"/dev/a", "/dev/b"}, []int{0, 1}, time.Now)
	for k := range int64(40) {
		for box := range 2 {
			b.Block(&series.Block{Kind: series.Slow, Box: box, Tick: 1e9 + k*1e8, Channel: []uint8{0}, Value: []float64{1}})
		}
	}
	assert.Nil(t, b.Arc().Rate)
	require.NotNil(t, b.List()[1].Link.Rate)
	assert.InDelta(t, 10, *b.List()[1].Link.Rate, 1e-9)
}

// A box that gets another number is known by its port.
func TestBoxes_TheFirstTurnsOutNotToTellTheArc(t *testing.T) {
	b := NewBoxes([]string{"/dev/a", "/dev/b"}, []int{0, 1}, time.Now)
	b.Source(series.Source{Box: 1, Name: "arc", Port: "/dev/b"})
	b.Source(series.Source{Box: 0, Name: "arc", Port: "/dev/b"})
	assert.Equal(t, "/dev/b", b.Arc().Port)
	b.Source(series.Source{Box: 2, Name: "gas", Port: "/dev/a"})
	list := b.List()
	assert.Equal(t, []int{2, 0}, []int{list[0].Box, list[1].Box})
	assert.Equal(t, "gas", *list[0].Name)
	b.Account(2, Received{Frames: 3})
	b.Account(1, Received{Frames: 9})
	assert.EqualValues(t, 3, b.List()[0].Link.Frames, "number 1 is nobody's")
	assert.Zero(t, b.Arc().Frames)
}

// A source without the port that is shown, as a virtual box has one, is known by its number.
func TestBoxes_AnotherPortThanShown(t *testing.T) {
	b := NewBoxes([]string{"virtual box"}, []int{0}, time.Now)
	b.Source(series.Source{Serial: "V", Port: "/dev/pts/3"})
	assert.Equal(t, "V", *b.List()[0].Serial)
	assert.Equal(t, "virtual box", b.Arc().Port)
	assert.Equal(t, LinkSilent, (&Boxes{}).Arc().State)
}
