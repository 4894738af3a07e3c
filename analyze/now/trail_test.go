package now

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/bead"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
)

// pieceAt is a piece of a degree and a quarter that begins at an angle, clockwise, with so
// many J in 0.2 s.
func pieceAt(start int64, degrees, joules float64) *bead.Piece {
	return &bead.Piece{
		From: degrees / 360, To: (degrees + 1.25) / 360, Start: start, Basis: heat.TravelMeasured, Arc: 2e8, Energy: joules * 1e9,
		Place: &bore.Place{Angle: bore.NormalAngle(quantity.Degrees(degrees + 0.625)), Depth: quantity.Metres(0.003 * degrees / 360)},
	}
}

// Four pieces are a cell, which is ready as the torch has left it, or the pass ends. A turn of
// 0.3 m has 72 of them: 2000 J over 0.3 m/72 are 480 kJ/m.
func TestTrail(t *testing.T) {
	_, torch, _, _ := inTheSecondTurn()
	trail := NewTrail(helix())
	p := &pass.Pass{Number: 2, Layer: 1, Start: pass.Moment{Epoch: 3}}
	lay := func() {
		trail.Begin(p, 0)
		for k := range 8 {
			trail.Take(pieceAt(int64(k), 355+1.25*float64(k), 500))
		}
	}
	lay()
	trail.End(p)
	assert.Empty(t, trail.Drain(), "nobody looks on")

	trail.Follow(torch)
	lay()
	ready := trail.Drain()
	require.Len(t, ready, 1, "the second is being laid")
	c := ready[0]
	assert.Equal(t, [4]int{2, 1, 1, 3}, [4]int{c.Pass, c.Layer, c.Turn, c.Epoch})
	assert.Equal(t, [2]quantity.Degrees{355, 360}, [2]quantity.Degrees{c.From, c.To})
	assert.Equal(t, [2]int64{0, 3}, [2]int64{c.Start, c.Until})
	assert.InDelta(t, 0.003*(355+1.875)/360, float64(c.Depth), 1e-9)
	assert.InDelta(t, 480e3, float64(*c.ArcEnergy), 1e-6)
	assert.InDelta(t, 384e3, float64(*c.HeatInput), 1e-6)
	trail.Take(&bead.Piece{Arc: 1})
	trail.Take(&bead.Piece{Place: &bore.Place{}, Unseen: 1})
	assert.Empty(t, trail.Drain(), "without a place, or an arc, nothing is laid anywhere")
	trail.End(p)
	ready = trail.Drain()
	require.Len(t, ready, 1)
	assert.Equal(t, 2, ready[0].Turn)
	assert.Zero(t, ready[0].From)
	assert.Empty(t, trail.Drain(), "it was handed out")
}

// Where turns are not counted, the time in arc is taken for the way at the rotation of the pass: 0.8 s at
// 1/36 of a turn a second is 1/45 of a turn.
func TestTrail_byTheDeclaredRotation(t *testing.T) {
	_, torch, _, _ := inTheSecondTurn()
	torch.turning = 1.0 / 36
	trail := NewTrail(helix())
	trail.Follow(torch)
	p := &pass.Pass{Number: 1}
	trail.Begin(p, 0)
	for k := range 4 {
		x := pieceAt(0, 1.25*float64(k), 500)
		x.Basis = heat.TravelDeclared
		trail.Take(x)
	}
	trail.job.Procedure.Process = "forge"
	trail.End(p)
	c := trail.Drain()[0]
	assert.InDelta(t, 2000/(0.3/45), float64(*c.ArcEnergy), 1e-6)
	assert.Nil(t, c.HeatInput, "its efficiency is not listed")
}

// A helix counts its turns, the last of which may be a part of one; rings and strokes
// are counted over their layer.
func TestWatch_part(t *testing.T) {
	w, torch, _, _ := looking()
	at := func(turn int, planned *float64) [2]int {
		number, all := w.part(&Progress{PlannedTurns: planned}, turn)
		return [2]int{number, all}
	}
	assert.Equal(t, [2]int{3, 4}, at(3, new(4.0)))
	assert.Equal(t, [2]int{4, 4}, at(4, new(3.2)))
	assert.Equal(t, [2]int{5, 0}, at(5, new(4.0)), "more than the plan has")
	assert.Equal(t, [2]int{1, 0}, at(1, nil))
	w.job.Deposit.Pattern, torch.parts = bore.SegmentReversing, [2]int{3, 20}
	assert.Equal(t, [2]int{3, 20}, at(1, new(0.9)))
	torch.parts = [2]int{21, 20}
	assert.Equal(t, [2]int{21, 0}, at(1, new(0.9)))
}
