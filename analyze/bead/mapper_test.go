package bead

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
)

// short is a bore of four turns at 3 mm: four rows of 72 cells.
func short(pattern bore.Pattern) *procedure.Job {
	return &procedure.Job{
		Bore:      bore.Bore{WornDiameter: 0.092, Length: 0.012},
		Deposit:   bore.Deposit{Pattern: pattern, Pitch: 0.003, WireDiameter: 0.9e-3, Efficiency: 0.95},
		Setpoints: procedure.Setpoints{WireSpeed: 0.1},
	}
}

// piece is one second of 3 kW over a way in degrees around a place.
func piece(angle, way, depth float64) *Piece {
	return &Piece{
		From: 3, To: 3 + way/360, Place: &bore.Place{Angle: quantity.Degrees(angle), Depth: quantity.Metres(depth)},
		Basis: heat.TravelMeasured, Arc: 1e9, Energy: 3000e9,
	}
}

// laidIn lists the energy of the cells that the pass under way has laid anything in.
func laidIn(m *Mapper) map[[2]int]float64 {
	all := map[[2]int]float64{}
	for row := range m.done.Rows {
		for column := range m.done.Columns {
			if e := m.Present(row, column).Energy; e != 0 {
				all[[2]int{row, column}] = float64(e)
			}
		}
	}
	return all
}

func requireLaid(t *testing.T, want map[[2]int]float64, m *Mapper) {
	t.Helper()
	got := laidIn(m)
	require.Len(t, got, len(want), "%v", got)
	for at, energy := range want {
		require.InDelta(t, energy, got[at], 1e-6, "%v of %v", at, got)
	}
}

// A column is 5 degrees wide. A helix sinks by its pitch in a turn: half of 2 degrees
// are 3 mm/360 = 8.3 um.
func TestMapper_pieceLiesInTheCellsUnderIt(t *testing.T) {
	const row1 = 0.003
	for name, c := range map[string]struct {
		pattern bore.Pattern
		piece   *Piece
		want    map[[2]int]float64
	}{
		"in one cell":                    {bore.Helix, piece(2.5, 2, 0.004), map[[2]int]float64{{1, 0}: 3000}},
		"from the border on":             {bore.Helix, piece(6, 2, 0.004), map[[2]int]float64{{1, 1}: 3000}},
		"up to the border":               {bore.Helix, piece(4, 2, 0.004), map[[2]int]float64{{1, 0}: 3000}},
		"across the border":              {bore.Helix, piece(5.5, 2, 0.004), map[[2]int]float64{{1, 0}: 750, {1, 1}: 2250}},
		"across it the other way round":  {bore.Helix, piece(5.5, -2, 0.004), map[[2]int]float64{{1, 0}: 750, {1, 1}: 2250}},
		"across the reference mark":      {bore.Helix, piece(359.5, 2, 0.004), map[[2]int]float64{{1, 71}: 2250, {1, 0}: 750}},
		"across it from below":           {bore.Helix, piece(0.5, 2, 0.004), map[[2]int]float64{{1, 71}: 750, {1, 0}: 2250}},
		"sinks into the next row":        {bore.Helix, piece(5, 2, row1-8e-6), map[[2]int]float64{{0, 0}: 1500, {1, 1}: 1500}},
		"has just sunk":                  {bore.Helix, piece(5, 2, row1+8e-6), map[[2]int]float64{{0, 0}: 1500, {1, 1}: 1500}},
		"sinks anti-clockwise":           {bore.Helix, piece(5, -2, row1-8e-6), map[[2]int]float64{{0, 1}: 1500, {1, 0}: 1500}},
		"has not come to it":             {bore.Helix, piece(5, 2, row1-9e-6), map[[2]int]float64{{0, 0}: 1500, {0, 1}: 1500}},
		"a ring keeps its depth":         {bore.Rings, piece(5, 2, row1-8e-6), map[[2]int]float64{{0, 0}: 1500, {0, 1}: 1500}},
		"beside the wall":                {bore.Helix, piece(2.5, 2, 0.013), nil},
		"the torch stands on the border": {bore.Helix, piece(5, 0, 0.004), map[[2]int]float64{{1, 1}: 3000}},
	} {
		t.Run(name, func(t *testing.T) {
			m := NewMapper(short(c.pattern))
			m.Begin(&pass.Pass{}, 0)
			m.Take(c.piece)
			requireLaid(t, c.want, m)
			m.End(&pass.Pass{})
			requireLaid(t, nil, m)
			whole := m.Map()
			energy := whole.Beyond.Energy
			for at, want := range c.want {
				assert.InDelta(t, want, float64(whole.At(at[0], at[1]).Energy), 1e-6)
				energy += whole.At(at[0], at[1]).Energy
			}
			assert.InDelta(t, 3000, float64(energy), 1e-6, "nothing is lost")
		})
	}
}

// What lies on either side of a border has its share of all that the piece has.
func TestMapper_pieceAcrossABorderIsParted(t *testing.T) {
	across := piece(5.5, 2, 0.001)
	across.Arc, across.Unseen, across.WireRead, across.Wire = 2e9, 2e9, true, 0.1
	m := NewMapper(short(bore.Helix))
	m.Begin(&pass.Pass{}, 0)
	m.Take(across)
	m.Take(piece(12.5, 2, 0.001))
	for column, share := range []float64{0.25, 0.75} {
		laid := m.Present(0, column)
		assert.InDelta(t, 2*share, float64(laid.ArcTime), 1e-9)
		assert.InDelta(t, share*2/360, laid.Way, 1e-12)
	}
	m.End(&pass.Pass{Travel: new(quantity.Metres(0.04)), Wire: new(quantity.Metres(0.8))})
	whole := m.Map()
	metal := whole.At(0, 0).Volume + whole.At(0, 1).Volume
	for column, share := range []float64{0.25, 0.75} {
		cell := whole.At(0, column)
		assert.InDelta(t, 2*share, float64(cell.ArcTime), 1e-9)
		assert.InDelta(t, 2*share, float64(cell.Unseen), 1e-9)
		assert.InDelta(t, 0.02*share, float64(cell.Path), 1e-9)
		assert.InDelta(t, metal*share, cell.Volume, 1e-13)
	}
}

func TestMapper_present(t *testing.T) {
	m := NewMapper(short(bore.Helix))
	m.Begin(&pass.Pass{}, 0)
	m.Take(piece(12, 1, 0.001))
	m.Take(piece(13, 1, 0.001))
	laid := m.Present(0, 2)
	assert.InDelta(t, 6000, float64(laid.Energy), 1e-9)
	assert.InDelta(t, 2, float64(laid.ArcTime), 1e-12)
	assert.InDelta(t, 2.0/360, laid.Way, 1e-12, "turns, where they are counted")
	assumed := piece(22, 1, 0.001)
	assumed.Basis = heat.TravelDeclared
	m.Take(assumed)
	assert.InDelta(t, 1, m.Present(0, 4).Way, 1e-12, "seconds, where they are not")
}

// Two cells get a degree each; over the second one the torch is three times as slow, and
// the feed slips to a third.
func slowing(basis heat.TravelBasis, read bool) (first, second *Piece) {
	first, second = piece(2, 1, 0.001), piece(7, 1, 0.001)
	second.Arc, second.Energy = 3e9, 9000e9
	for _, p := range []*Piece{first, second} {
		p.Basis, p.WireRead, p.Wire = basis, read, 0.1
	}
	return first, second
}

// The pass has 40 mm of bead and 0.8 m of wire of 0.9 mm, of which 95 % become metal:
// pi/4*0.81 mm2 * 800 mm * 0.95 = 483.49 mm3.
func TestMapper_sharesOutPathAndWire(t *testing.T) {
	const metal = 483.4911e-9
	for name, c := range map[string]struct {
		basis        heat.TravelBasis
		read         bool
		path, volume [2]float64
	}{
		"turns counted, feed read": {basis: heat.TravelMeasured, read: true, path: [2]float64{0.02, 0.02}, volume: [2]float64{metal / 2, metal / 2}},
		"turns counted":            {basis: heat.TravelMeasured, path: [2]float64{0.02, 0.02}, volume: [2]float64{metal / 4, 3 * metal / 4}},
		"feed read":                {basis: heat.TravelDeclared, read: true, path: [2]float64{0.01, 0.03}, volume: [2]float64{metal / 2, metal / 2}},
		"neither":                  {basis: heat.TravelDeclared, path: [2]float64{0.01, 0.03}, volume: [2]float64{metal / 4, 3 * metal / 4}},
	} {
		t.Run(name, func(t *testing.T) {
			m := NewMapper(short(bore.Helix))
			for range 2 { // a pass has nothing of the one before
				m.Begin(&pass.Pass{}, 0)
				first, second := slowing(c.basis, c.read)
				m.Take(first)
				m.Take(second)
				m.End(&pass.Pass{Travel: new(quantity.Metres(0.04)), Wire: new(quantity.Metres(0.8))})
			}
			whole := m.Map()
			for column, cell := range []*bore.Cell{whole.At(0, 0), whole.At(0, 1)} {
				assert.InDelta(t, 2*c.path[column], float64(cell.Path), 1e-12)
				assert.InDelta(t, 2*c.volume[column], cell.Volume, 1e-13)
				assert.InDelta(t, 2*[]float64{1, 3}[column], float64(cell.ArcTime), 1e-12)
				assert.InDelta(t, 2*[]float64{3000, 9000}[column], float64(cell.Energy), 1e-9)
			}
			assert.InDelta(t, 1.6, float64(whole.WireMeasured), 1e-12)
			assert.Zero(t, whole.WireDeclared)
			whole.At(0, 0).Path = 7
			assert.InDelta(t, 2*c.path[0], float64(m.Map().At(0, 0).Path), 1e-12, "the map is a copy")
		})
	}
}

// A feed that stood still all the time shares nothing out: arc time does.
func TestMapper_stillFeed(t *testing.T) {
	m := NewMapper(short(bore.Helix))
	m.Begin(&pass.Pass{}, 0)
	first, second := slowing(heat.TravelMeasured, true)
	first.Wire, second.Wire = 0, 0
	m.Take(first)
	m.Take(second)
	m.End(&pass.Pass{Wire: new(quantity.Metres(0.8))})
	whole := m.Map()
	assert.InDelta(t, 483.4911e-9/4, whole.At(0, 0).Volume, 1e-13)
	assert.InDelta(t, 3*483.4911e-9/4, whole.At(0, 1).Volume, 1e-13)
	assert.Zero(t, whole.At(0, 0).Path, "the travel of the pass is not known")
}

// The set-point stands in for wire that was not measured: 0.1 m/s for 4 s.
func TestMapper_whatTheWireRestsOn(t *testing.T) {
	for name, c := range map[string]struct {
		wire                        *quantity.Metres
		set                         quantity.MetresPerSecond
		measured, declared, unknown float64
		volume                      float64
	}{
		"measured": {wire: new(quantity.Metres(0.8)), set: 0.1, measured: 0.8, volume: 483.4911e-9},
		"declared": {set: 0.1, declared: 0.4, volume: 483.4911e-9 / 2},
		"unknown":  {unknown: 4},
	} {
		t.Run(name, func(t *testing.T) {
			job := short(bore.Helix)
			job.Setpoints.WireSpeed = c.set
			m := NewMapper(job)
			for range 2 {
				m.Begin(&pass.Pass{}, 0)
				m.Take(piece(2, 1, 0.001))
				m.End(&pass.Pass{Wire: c.wire, ArcTime: 4})
			}
			whole := m.Map()
			assert.InDelta(t, 2*c.measured, float64(whole.WireMeasured), 1e-12)
			assert.InDelta(t, 2*c.declared, float64(whole.WireDeclared), 1e-12)
			assert.InDelta(t, 2*c.unknown, float64(whole.WireUnknown), 1e-12)
			assert.InDelta(t, 2*c.volume, whole.At(0, 0).Volume, 1e-13)
		})
	}
}

// Time without data is kept where it was, and is neither way nor wire.
func TestMapper_unseen(t *testing.T) {
	m := NewMapper(short(bore.Helix))
	m.Begin(&pass.Pass{}, 0)
	m.Take(piece(2, 1, 0.001))
	unseen, cold := piece(7, 1, 0.001), piece(12, 1, 0.001)
	unseen.Arc, unseen.Energy, unseen.Unseen = 0, 0, 2e9
	cold.Arc = 0 // with an energy that no piece without arc has
	m.Take(unseen)
	m.Take(cold)
	lost := *unseen
	lost.Place = nil
	m.Take(&lost)
	m.End(&pass.Pass{Travel: new(quantity.Metres(0.04)), Wire: new(quantity.Metres(0.8))})
	whole := m.Map()
	assert.InDelta(t, 0.04, float64(whole.At(0, 0).Path), 1e-12)
	assert.InDelta(t, 483.4911e-9, whole.At(0, 0).Volume, 1e-13)
	assert.Equal(t, bore.Cell{Unseen: 2}, *whole.At(0, 1))
	assert.Equal(t, bore.Cell{}, *whole.At(0, 2))
	assert.Equal(t, bore.Cell{Unseen: 2}, whole.Beyond, "where it was is not known")

	m.Begin(&pass.Pass{}, 0) // a pass of which nothing was seen
	m.Take(unseen)
	m.End(&pass.Pass{Travel: new(quantity.Metres(0.04)), Wire: new(quantity.Metres(0.8))})
	assert.Equal(t, bore.Cell{Unseen: 4}, *m.Map().At(0, 1))
}

func TestMapper_withoutABore(t *testing.T) {
	m := NewMapper(&procedure.Job{Deposit: bore.Deposit{Pattern: bore.Straight}})
	m.Begin(&pass.Pass{}, 0)
	m.Take(piece(2, 1, 0.001))
	m.End(&pass.Pass{})
	assert.Nil(t, m.Map())
	assert.Nil(t, m.WithoutCells())
}

func TestMapper_withoutCells(t *testing.T) {
	m := NewMapper(short(bore.Helix))
	bare := m.WithoutCells()
	assert.Equal(t, 4, bare.Rows)
	assert.Nil(t, bare.Cells)
	assert.Len(t, m.Map().Cells, 4*72, "those of the map itself stay")
}
