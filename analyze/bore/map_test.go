package bore

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
)

func emptyMap(t *testing.T, gaps ...Gap) *Map {
	t.Helper()
	b, d, _ := demo()
	d.Gaps = gaps
	m := NewMap(b, d)
	require.NotNil(t, m)
	m.WireMeasured = 1
	return m
}

// layer is the volume in a cell of a layer of some thickness on the worn wall.
func layer(m *Map, row, column int, thickness float64) float64 {
	r := float64(m.Bore.WornDiameter) / 2
	theta := float64(m.AngleStep) * math.Pi / 180 * m.WeldedShare(column)
	return theta / 2 * (r*r - (r-thickness)*(r-thickness)) * float64(m.width(row))
}

func fill(m *Map, thickness float64) {
	for row := range m.Rows {
		for column := range m.Columns {
			m.At(row, column).Volume = layer(m, row, column, thickness)
		}
	}
}

func TestNewMap(t *testing.T) {
	b, d, _ := demo()
	m := NewMap(b, d)
	assert.Equal(t, 20, m.Rows)
	assert.Equal(t, 72, m.Columns)
	b.Length = 0.0605
	assert.Equal(t, 21, NewMap(b, d).Rows)
	b.Length = 30
	m = NewMap(b, d)
	assert.LessOrEqual(t, m.Rows, maxRows)
	assert.InDelta(t, 30, float64(m.DepthStep)*float64(m.Rows), float64(m.DepthStep))
	for _, spoil := range []func(*Bore, *Deposit){
		func(b *Bore, _ *Deposit) { b.WornDiameter = 0 },
		func(b *Bore, _ *Deposit) { b.Length = 0 },
		func(_ *Bore, d *Deposit) { d.Pitch = 0 },
		func(_ *Bore, d *Deposit) { d.Pattern = Straight },
	} {
		b, d, _ := demo()
		spoil(&b, &d)
		assert.Nil(t, NewMap(b, d))
	}
}

func TestMap_Index(t *testing.T) {
	m := emptyMap(t)
	for ring := range m.Rows { // a ring stands at the very edge of its row
		assert.Equal(t, ring*72, m.Index(&Place{Depth: quantity.Metres(ring) * m.Deposit.Pitch}))
	}
	assert.Equal(t, 72+71, m.Index(&Place{Angle: 359.9, Depth: 0.0059}))
	for _, outside := range []*Place{nil, {Depth: 0.060}, {Depth: -0.001}, {Angle: 360}, {Angle: -1}} {
		assert.Same(t, &m.Beyond, m.Put(m.Index(outside)))
	}
}

func TestMap_WeldedShare(t *testing.T) {
	m := emptyMap(t, Gap{From: 80, To: 116}, Gap{From: 358, To: 2})
	for column, want := range map[int]float64{0: 0.6, 1: 1, 15: 1, 16: 0, 22: 0, 23: 0.8, 24: 1, 71: 0.6} {
		assert.InDelta(t, want, m.WeldedShare(column), 1e-12, "column %d", column)
	}
	sum := 0.0
	for column := range m.Columns {
		sum += m.WeldedShare(column)
	}
	assert.InDelta(t, 72*(360-36-4)/360.0, sum, 1e-9)
}

// Layer upon layer, each on the diameter that the one before left, come to the
// height of all their metal at once.
func TestMap_HeightIsTheSumOfTheLayers(t *testing.T) {
	b, d, r := demo()
	m := NewMap(b, d)
	const layers = 3
	for n := 1; n <= layers; n++ {
		diameter, err := LayerDiameter(b, d, r, n)
		require.NoError(t, err)
		area := BeadArea(d.WireDiameter, r.WireSpeed, r.TravelAt(diameter), d.Efficiency)
		turn := float64(area) * math.Pi * float64(diameter)
		for k := range m.Cells {
			m.Cells[k].Volume += turn / float64(m.Columns)
		}
	}
	last, err := LayerDiameter(b, d, r, layers+1)
	require.NoError(t, err)
	for k := range m.Cells {
		require.InEpsilon(t, float64(b.WornDiameter-last)/2, float64(m.Height(k/m.Columns, k%m.Columns)), 1e-9)
	}
	m.Cells[0].Volume = 1
	require.Equal(t, b.WornDiameter/2, m.Height(0, 0), "a bore that is full")
}

func TestMap_LastRowIsNarrower(t *testing.T) {
	b, d, _ := demo()
	b.Length = 0.0615
	m := NewMap(b, d)
	assert.InDelta(t, 0.0015, float64(m.width(20)), 1e-12)
	d.Pattern = Rings
	assert.InDelta(t, 0.003, float64(NewMap(b, d).width(20)), 1e-12, "the last ring reaches over the end")
}

func TestMap_CleanUp(t *testing.T) {
	m := emptyMap(t)
	allowance := m.NewAllowance(DefaultEccentricity)
	for _, c := range []struct {
		thickness float64
		want      Answer
	}{{3e-3, Enough}, {1.25e-3, Doubtful}, {1.1e-3, TooLittle}, {0, TooLittle}} {
		fill(m, c.thickness)
		got := m.CleanUp(allowance)
		assert.Equal(t, c.want, got.Answer, "%g", c.thickness)
		assert.InDelta(t, c.thickness-1e-3, float64(got.Least), 1e-9)
		assert.InDelta(t, float64(got.Least-DefaultEccentricity), float64(got.Margin), 1e-15)
		assert.Equal(t, len(m.Cells), got.Judged)
	}
	// By hand for 3 mm: rectangular limits of 3.5, 2 and 2 % on the volume, 0.05 mm on the radius.
	fill(m, 3e-3)
	relative := math.Sqrt(0.035*0.035+0.02*0.02+0.02*0.02) / math.Sqrt(3)
	r := 0.046
	metal := (r*r - 0.043*0.043) / 2 / 0.043
	want := 2 * math.Hypot(metal*relative, 0.05e-3/math.Sqrt(3))
	assert.InEpsilon(t, want, float64(m.CleanUp(allowance).Expanded), 1e-9)
}

func TestMap_CleanUpWithoutKnowledge(t *testing.T) {
	for why, spoil := range map[string]func(*Map){
		"finish diameter":        func(m *Map) { m.Bore.FinishDiameter = 0 },
		"neither the wire":       func(m *Map) { m.WireMeasured = 0 },
		"wire diameter":          func(m *Map) { m.Deposit.WireDiameter = 0 },
		"leave no cell to judge": func(m *Map) { m.Deposit.Gaps = []Gap{{0, 355}} },
	} {
		m := emptyMap(t)
		spoil(m)
		c := m.CleanUp(m.NewAllowance(0))
		assert.Empty(t, c.Answer)
		assert.Contains(t, c.Why, why)
	}
}

func TestMap_NewAllowance(t *testing.T) {
	m := emptyMap(t)
	assert.InDelta(t, 0.02/math.Sqrt(3), float64(m.NewAllowance(0).Wire), 1e-12)
	m.WireDoubt = 0.004
	assert.InDelta(t, 0.004, float64(m.NewAllowance(0).Wire), 1e-12)
	m.WireDeclared = 1
	assert.InDelta(t, 0.05/math.Sqrt(3), float64(m.NewAllowance(0).Wire), 1e-12)
}

func TestMap_Shortages(t *testing.T) {
	m := emptyMap(t, Gap{From: 80, To: 116})
	fill(m, 3e-3)
	hole := func(row, column int, thickness float64) { m.At(row, column).Volume = layer(m, row, column, thickness) }
	hole(4, 71, 0.5e-3) // over the reference mark
	hole(4, 0, 0)
	hole(5, 0, 0.9e-3)
	hole(9, 40, 0.8e-3)
	for row := range m.Rows {
		hole(row, 23, 0) // beside the gap
	}
	c := m.CleanUp(m.NewAllowance(DefaultEccentricity))
	require.Len(t, c.Short, 2)
	first, second := c.Short[0], c.Short[1]
	assert.Equal(t, []quantity.Degrees{355, 5}, []quantity.Degrees{first.From, first.To})
	assert.InDelta(t, 0.012, float64(first.FromDepth), 1e-12)
	assert.InDelta(t, 0.018, float64(first.ToDepth), 1e-12)
	assert.InDelta(t, -1e-3, float64(first.Least), 1e-9)
	assert.Equal(t, Place{Angle: 2.5, Depth: first.FromDepth + m.DepthStep/2}, first.Place)
	assert.Equal(t, 3, first.Cells)
	assert.Equal(t, []quantity.Degrees{200, 205}, []quantity.Degrees{second.From, second.To})
	assert.Equal(t, first.Place, c.Place)

	fill(m, 0)
	m.Deposit.Gaps = nil
	all := m.CleanUp(m.NewAllowance(0)).Short
	require.Len(t, all, 1)
	assert.Equal(t, []quantity.Degrees{0, 360}, []quantity.Degrees{all[0].From, all[0].To})
	assert.Equal(t, m.Bore.Length, all[0].ToDepth)
}

func TestMap_CloneSharesNothing(t *testing.T) {
	m := emptyMap(t)
	c := m.Clone()
	c.Put(0).Findings++
	assert.Zero(t, m.Cells[0].Findings)
}

func TestMap_Put(t *testing.T) {
	m := emptyMap(t)
	assert.Same(t, &m.Cells[0], m.Put(0))
	assert.Same(t, &m.Cells[len(m.Cells)-1], m.Put(len(m.Cells)-1))
	assert.Same(t, &m.Beyond, m.Put(len(m.Cells)))
	assert.Same(t, &m.Beyond, m.Put(-1))
	assert.Equal(t, len(m.Cells), m.Index(&Place{Angle: 10, Depth: 0.060}), "just beyond the last row")
}

// 6.009 m are 2003 rings: three to a row, and two in the last one.
func TestMap_RowsOfSeveralRings(t *testing.T) {
	b, d, _ := demo()
	b.Length, d.Pattern = 6.009, Rings
	m := NewMap(b, d)
	require.Equal(t, 668, m.Rows)
	assert.InDelta(t, 0.009, float64(m.width(0)), 1e-12)
	assert.InDelta(t, 0.006, float64(m.width(667)), 1e-12)
	b.Length = 6.0085 // half a millimetre less is a ring all the same
	assert.InDelta(t, 0.006, float64(NewMap(b, d).width(667)), 1e-12)
}

// The metal of a cell that lies half in a planned gap stands on the other half, and is
// twice as high: 20 mm3 on 2.5 degrees by 3 mm of a radius of 46 mm.
//
//	t = 46 - sqrt(46^2 - 2*20/(0.0436332*3)) = 3.4509 mm
func TestMap_HeightBesideAGap(t *testing.T) {
	m := emptyMap(t, Gap{From: 82.5, To: 116})
	m.At(0, 16).Volume = 20e-9
	assert.InDelta(t, 3.4509e-3, float64(m.Height(0, 16)), 1e-7)
	assert.Zero(t, m.Height(0, 18), "there is none within the gap")
	assert.InDelta(t, -1e-3, float64(m.Stock(0, 18)), 1e-12)
}

// Where nothing is uncertain, stock that is as much as the allowance is enough; of cells
// alike, the first one is named.
func TestMap_CleanUpOnTheLimit(t *testing.T) {
	m := emptyMap(t)
	for k := range m.Cells {
		m.Cells[k].Volume = 5e-9
	}
	m.At(3, 7).Unseen = 1
	sure := Allowance{Eccentricity: m.Stock(3, 7)}
	c := m.CleanUp(sure)
	require.Equal(t, Enough, c.Answer)
	assert.Empty(t, c.Short)
	assert.Empty(t, c.Unseen)
	assert.Zero(t, c.Margin)
	assert.Equal(t, m.Centre(0, 0), c.Place)
	assert.Equal(t, Enough, m.CellAnswer(0, 0, sure))

	sure.Eccentricity += 1e-9
	c = m.CleanUp(sure)
	require.Equal(t, TooLittle, c.Answer)
	require.Len(t, c.Short, 1)
	assert.Equal(t, m.Centre(0, 0), c.Short[0].Place, "of cells alike, the first")

	m.Cells[0].Volume = 1 // a bore that is full
	assert.Equal(t, m.Bore.WornDiameter/2, m.expanded(0, 0, m.NewAllowance(0)))
}

// Of 100 s over a cell two may be without data.
func TestCell_NotSeen(t *testing.T) {
	for unseen, want := range map[quantity.Seconds]bool{0: false, 1.99: false, 2.01: true, 50: true} {
		c := Cell{Unseen: unseen, ArcTime: 100 - unseen}
		assert.Equal(t, want, c.NotSeen(), "%g", unseen)
	}
}

// A cell that was not seen is named only where what was measured is not enough.
func TestMap_CleanUpOfWhatWasNotSeen(t *testing.T) {
	m := emptyMap(t)
	fill(m, 3e-3)
	m.At(2, 5).Unseen = 1
	c := m.CleanUp(m.NewAllowance(DefaultEccentricity))
	assert.Equal(t, Enough, c.Answer)
	assert.Empty(t, c.Unseen)
	m.At(2, 5).Volume = 0
	c = m.CleanUp(m.NewAllowance(DefaultEccentricity))
	assert.Equal(t, NotSeen, c.Answer)
	assert.Empty(t, c.Short)
	require.Len(t, c.Unseen, 1)
	assert.Equal(t, m.Centre(2, 5), c.Unseen[0].Place)
	assert.InDelta(t, 2e-3, float64(c.Least), 1e-9, "of what was seen")
}

// Cells that touch are one patch whichever way it goes, upwards too.
func TestMap_ShortageGoesUp(t *testing.T) {
	m := emptyMap(t)
	fill(m, 3e-3)
	for _, at := range [][2]int{{1, 10}, {2, 10}, {2, 11}, {2, 12}, {1, 12}, {0, 12}} {
		m.At(at[0], at[1]).Volume = 0
	}
	short := m.CleanUp(m.NewAllowance(DefaultEccentricity)).Short
	require.Len(t, short, 1)
	assert.Equal(t, 6, short[0].Cells)
	assert.Equal(t, quantity.Metres(0), short[0].FromDepth)
	assert.InDelta(t, 0.009, float64(short[0].ToDepth), 1e-12)
	assert.Equal(t, []quantity.Degrees{50, 65}, []quantity.Degrees{short[0].From, short[0].To})
}
