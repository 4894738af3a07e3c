package bead

import (
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
)

// What each layer laid stands by itself, adds up to the whole, and a copy shares none of it.
func TestMapper_layers(t *testing.T) {
	m := NewMapper(short(bore.Helix))
	lay := func(layer, number int, angle float64) {
		p := &pass.Pass{Number: number, Layer: layer, Travel: new(quantity.Metres(0.1)), Wire: new(quantity.Metres(0.05))}
		m.Begin(p, 0)
		m.Take(piece(angle, 2, 0.004))
		m.End(p)
	}
	lay(1, 1, 2.5)
	lay(1, 2, 7.5)
	lay(2, 3, 2.5)
	first := m.Map()
	lay(2, 4, 7.5)
	all := m.Map()
	require.Len(t, all.Layers, 2)
	require.Equal(t, []int{1, 2}, []int{all.Layers[0].Number, all.Layers[1].Number})
	for at, cell := range all.Cells {
		var sum bore.Cell
		sum.Add(all.Layers[0].Cells[at])
		sum.Add(all.Layers[1].Cells[at])
		require.Equal(t, cell, sum)
	}
	require.Equal(t, quantity.Joules(3000), all.OfLayer(1).At(1, 1).Energy)
	require.Zero(t, first.OfLayer(1).At(1, 1).Energy, "a copy stays as it was")
	require.Nil(t, all.PutLayer(1, len(all.Cells)), "what lies beyond the map is in no layer")

	require.InDelta(t, float64(all.Height(1, 0)), float64(all.Thickness(0, 1, 0)+all.Thickness(1, 1, 0)), 1e-12)
	require.Greater(t, all.Thickness(1, 1, 0), all.Thickness(0, 1, 0), "the bore has closed: the same metal lies higher")
}

// even turns at one turn in 48 s, at one depth.
type even struct{}

func (even) Locate(turns float64) (at bore.Place, known bool) {
	return bore.Place{Angle: bore.NormalAngle(quantity.Degrees(360 * turns)), Depth: 0.004}, true
}

// The arc is out for 2 s, from 10 to 25 degrees: each of three columns has its third, and no
// bead is longer for it.
func TestFollower_timeWithoutArc(t *testing.T) {
	m := NewMapper(short(bore.Helix))
	f := NewFollower(bore.Helix, m)
	f.Follow(even{})
	p := &pass.Pass{Number: 1, Layer: 1}
	at := func(seconds float64) pass.Position {
		return pass.Position{Moment: pass.Moment{Tick: int64(seconds * 1e9)}, Turns: seconds / 48, Basis: heat.TravelMeasured}
	}
	f.Begin(p, at(0))
	f.Resume(at(48*10/360.0), at(48*25/360.0), 2)
	f.Resume(pass.Position{Turns: 1}, pass.Position{Turns: 2}, 5) // nobody knows where that was
	f.End(p)
	for column, want := range map[int]float64{1: 0, 2: 2.0 / 3, 3: 2.0 / 3, 4: 2.0 / 3, 5: 0} {
		require.InDelta(t, want, float64(m.Map().At(1, column).Off), 1e-9, "column %d", column)
	}
	require.Zero(t, m.Map().At(1, 2).ArcTime)
	require.Zero(t, m.Map().Beyond.Off)
}
