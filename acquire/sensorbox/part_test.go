package sensorbox

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/link"
	"arctally/acquire/series"
)

// slowValue is one value of a slow channel.
type slowValue struct {
	channel string
	tick    int64
	value   float64
}

// slowValues are all that a box says, by the names of its HELLO.
func slowValues(t *testing.T, p Plan) (values []slowValue, kinds map[series.Kind]int) {
	t.Helper()
	box, err := New(p)
	require.NoError(t, err)
	var stream bytes.Buffer
	_, err = box.Write(t.Context(), &stream)
	require.NoError(t, err)
	d, err := link.New(link.Binary)
	require.NoError(t, err)
	var source series.Source
	next, kinds := uint32(0), map[series.Kind]int{}
	d.Decode(stream.Bytes(), func(r *link.Reading, err error) {
		require.NoError(t, err)
		require.Equal(t, next, r.Seq, "each box counts its own frames")
		next++
		if r.Source != nil {
			source = *r.Source
		}
		for _, b := range r.Blocks {
			kinds[b.Kind] += b.Len()
			for k := range b.Value {
				values = append(values, slowValue{source.Channels[b.Channel[k]].Name, b.At(k), b.Value[k]})
			}
		}
	})
	return values, kinds
}

// Two boxes that share a plan say together what one says of it.
func TestParts(t *testing.T) {
	p := Demo()
	p.Length, p.Layers = p.Pitch, 1
	whole, all := slowValues(t, p)
	require.NotEmpty(t, whole)
	p.Part = ArcPart
	none, arc := slowValues(t, p)
	assert.Empty(t, none)
	p.Part = BesidePart
	beside, others := slowValues(t, p)
	assert.Equal(t, whole, beside)
	for _, kind := range []series.Kind{series.Arc, series.Turn} {
		assert.Equal(t, all[kind], arc[kind])
		assert.Zero(t, others[kind])
	}
	assert.NotEqual(t, Plan{Part: ArcPart}.Source().Serial, Plan{Part: BesidePart}.Source().Serial)
	for _, wrong := range []Plan{{Part: "half"}, {Part: ArcPart, Link: link.Delimited}} {
		p := Demo()
		p.Part, p.Link = wrong.Part, wrong.Link
		var flawed *PlanError
		_, err := New(p)
		require.ErrorAs(t, err, &flawed)
		assert.Equal(t, "Part", flawed.Field)
	}
}
