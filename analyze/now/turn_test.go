package now

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/bead"
	"arctally/analyze/bore"
	"arctally/analyze/finding"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
)

// inTheSecondTurn is a helix 30 degrees into its second turn, at the depth that it has
// there: a row is one turn deep.
func inTheSecondTurn() (*Watch, *torch, *judge, *wall) {
	w, torch, judge, wall := looking()
	torch.now.Tick = 60 * second
	torch.at.Place = &bore.Place{Angle: 30, Depth: 0.003 * (1 + 30.0/360)}
	torch.went = 1 + 30.0/360
	torch.pass = &pass.Pass{Number: 4, Layer: 2, Pattern: bore.Helix, TravelBasis: heat.TravelMeasured, Turns: new(torch.went), Elapsed: 50}
	return w, torch, judge, wall
}

// Over the first 30 degrees, six cells, the torch has come in this turn; behind it the
// cells are those of the turn before.
func TestWatch_turnOfAHelix(t *testing.T) {
	w, torch, _, wall := inTheSecondTurn()
	wall.laid[[2]int{1, 2}] = bead.Laid{Energy: 2000, ArcTime: 0.8, Way: 1.0 / 72}
	wall.laid[[2]int{0, 50}] = bead.Laid{Energy: 1500, ArcTime: 0.6, Way: 0.5 / 72}
	wall.laid[[2]int{1, 50}] = bead.Laid{Energy: 9, ArcTime: 9, Way: 9}
	turn := w.Turn()
	assert.Equal(t, 4, turn.Pass)
	assert.Equal(t, 2, turn.Layer)
	assert.Equal(t, 2, turn.Number)
	assert.Equal(t, quantity.Degrees(30), turn.Angle)
	require.Len(t, turn.Cells, 72)
	for k, c := range turn.Cells {
		assert.Equal(t, k >= 6, c.Before, "cell %d", k)
		assert.Equal(t, quantity.Degrees(5*k), c.From)
		assert.Equal(t, quantity.Degrees(5*k+5), c.To)
	}
	assert.Equal(t, quantity.Ratio(1), turn.Cells[2].Planned)
	assert.InDelta(t, 0.8, float64(turn.Cells[23].Planned), 1e-12, "115 to 116 degrees is gap")
	assert.Zero(t, turn.Cells[18].Planned)

	now := turn.Cells[2] // 0.3 m/72 of bead
	assert.Equal(t, quantity.Joules(2000), now.Energy)
	assert.Equal(t, quantity.Seconds(0.8), now.ArcTime)
	assert.InDelta(t, 1, float64(now.Burned), 1e-12)
	assert.InDelta(t, 480e3, float64(*now.ArcEnergy), 1e-6)
	assert.InDelta(t, 384e3, float64(*now.HeatInput), 1e-6)
	before := turn.Cells[50]
	assert.InDelta(t, 0.5, float64(before.Burned), 1e-12)
	assert.InDelta(t, 720e3, float64(*before.ArcEnergy), 1e-6)
	assert.Nil(t, turn.Cells[3].ArcEnergy, "nothing was laid")
	w.job.Procedure.Process = "forge"
	assert.Nil(t, w.Turn().Cells[2].HeatInput)

	torch.went, torch.at.Place.Angle = -torch.went, 330 // anti-clockwise
	for k, c := range w.Turn().Cells {
		assert.Equal(t, k < 66, c.Before, "cell %d", k)
	}
}

// In the first turn there is none before it.
func TestWatch_firstTurn(t *testing.T) {
	w, torch, _, wall := inTheSecondTurn()
	torch.at.Place.Depth, torch.went = 0.003*30.0/360, 30.0/360
	wall.laid[[2]int{0, 50}] = bead.Laid{Energy: 1500, ArcTime: 0.6, Way: 0.5 / 72}
	turn := w.Turn()
	assert.Equal(t, 1, turn.Number)
	assert.True(t, turn.Cells[50].Before)
	assert.Zero(t, turn.Cells[50].Energy)
}

// A ring has no turn before it; where turns are not counted, its seconds are turns at the
// rotation that it goes by: half a second at 1/36 of a turn a second is a cell.
func TestWatch_turnOfARing(t *testing.T) {
	w, torch, _, wall := inTheSecondTurn()
	torch.pass.Pattern, torch.pass.TravelBasis, torch.turning = bore.Rings, heat.TravelDeclared, 1.0/36
	torch.at.Place.Depth = 0.003 * (1 - 1e-12) // at the very edge of its row
	wall.laid[[2]int{1, 50}] = bead.Laid{Energy: 1000, ArcTime: 0.5, Way: 0.5}
	wall.laid[[2]int{1, 51}] = bead.Laid{Energy: 3000, ArcTime: 1.5, Way: 1.5}
	turn := w.Turn()
	for _, c := range turn.Cells {
		assert.False(t, c.Before)
	}
	assert.InDelta(t, 1, float64(turn.Cells[50].Burned), 1e-12)
	assert.InDelta(t, 240e3, float64(*turn.Cells[50].ArcEnergy), 1e-6)
	assert.Equal(t, quantity.Ratio(1), turn.Cells[51].Burned, "not more than all of it")
}

func TestWatch_noTurn(t *testing.T) {
	w, torch, _, _ := inTheSecondTurn()
	torch.at.Place.Depth = 0.012
	turn := w.Turn()
	assert.Equal(t, 4, turn.Pass)
	assert.Empty(t, turn.Cells, "beyond the wall")
	torch.at.Place.Depth = -0.001
	assert.Empty(t, w.Turn().Cells)
	torch.at.Place.Depth = 0.0119
	assert.NotEmpty(t, w.Turn().Cells)
	torch.at.Place = nil
	assert.Equal(t, Turn{}, w.Turn())
	w, torch, _, _ = inTheSecondTurn()
	torch.pass = nil
	assert.Equal(t, Turn{}, w.Turn())
	w, _, _, wall := inTheSecondTurn()
	wall.grid = nil
	assert.Equal(t, Turn{}, w.Turn())
}

// The torch turns 1.0833 turns in 50 s, 7.8 degrees a second. What deviates now is shown,
// and what did in the last two turns, which took 92.3 s.
func TestWatch_sectors(t *testing.T) {
	w, torch, judge, _ := inTheSecondTurn()
	torch.now.Tick = 200 * second
	judge.open = []finding.Open{
		{Rule: finding.Voltage, Place: &bore.Place{Angle: 350}, Lasted: 3},
		{Rule: finding.Current}, // where it began is not known
	}
	at := func(number, pass int, start int64, lasted quantity.Seconds) finding.Finding {
		f := finding.Finding{Number: number, Pass: pass, Rule: finding.ArcOut, Place: &bore.Place{Angle: 100}, Duration: lasted}
		f.Start.Tick = start
		return f
	}
	judge.found = []finding.Finding{
		at(1, 4, 190*second, 1), // before another pass: of none that counts
		at(2, 3, 190*second, 1),
		at(3, 4, 107*second, 1), // too long ago
		at(4, 4, 108*second, 100),
		at(5, 4, 150*second, 2),
	}
	sectors := w.Turn().Sectors
	require.Len(t, sectors, 3)
	assert.Equal(t, finding.Voltage, sectors[0].Rule)
	assert.Zero(t, sectors[0].Finding)
	assert.Equal(t, quantity.Degrees(350), sectors[0].From)
	assert.InDelta(t, 13.4, float64(sectors[0].To), 1e-9)
	assert.Equal(t, []int{5, 4}, []int{sectors[1].Finding, sectors[2].Finding})
	assert.InDelta(t, 115.6, float64(sectors[1].To), 1e-9)
	assert.InDelta(t, 100, float64(sectors[2].To), 1e-9, "all round, and no more")

	torch.went = -torch.went
	assert.InDelta(t, 350-23.4, float64(w.Turn().Sectors[0].To), 1e-9, "anti-clockwise")
	torch.pass.Turns = nil
	assert.Equal(t, quantity.Degrees(350), w.Turn().Sectors[0].To, "nobody knows how far it went")
	torch.pass.Turns, torch.pass.Elapsed, judge.open[0].Lasted = new(1.0), 0, 0
	assert.Equal(t, quantity.Degrees(350), w.Turn().Sectors[0].To)

	judge.open, judge.found = nil, judge.found[4:]
	torch.pass.Elapsed = 50
	assert.Len(t, w.Turn().Sectors, 1, "the first finding of the record")
	for range 100 {
		judge.found = append(judge.found, at(6, 4, 199*second, 1))
	}
	assert.Len(t, w.Turn().Sectors, 64, "as many as a picture can show")
}
