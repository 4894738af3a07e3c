package bore

import (
	"math"
	"slices"

	"arctally/acquire/quantity"
)

// Cell sums up what was laid on one patch of the wall, over all layers.
type Cell struct {
	Energy   quantity.Joules
	ArcTime  quantity.Seconds
	Unseen   quantity.Seconds // without data, in which the arc may have burned
	Off      quantity.Seconds // the torch was over it in a pass, and no arc burned
	Path     quantity.Metres  // of bead
	Volume   float64          // of deposit, m^3
	Findings int              // that begin here
}

// Add takes in what another cell holds.
func (c *Cell) Add(other Cell) {
	c.Energy += other.Energy
	c.ArcTime += other.ArcTime
	c.Unseen += other.Unseen
	c.Off += other.Off
	c.Path += other.Path
	c.Volume += other.Volume
	c.Findings += other.Findings
}

// ArcEnergy returns the energy over the path, and whether there is a path.
func (c *Cell) ArcEnergy() (e quantity.JoulesPerMetre, known bool) {
	if c.Path <= 0 {
		return 0, false
	}
	return quantity.JoulesPerMetre(float64(c.Energy) / float64(c.Path)), true
}

// Layer is what the passes of one layer laid.
type Layer struct {
	Number int
	Cells  []Cell // as those of the map
}

// Map is the wall of a bore unrolled into cells of angle by depth. Column 0
// begins at the reference mark, row 0 at the entry face. What was laid where no
// cell is, or nobody knows where, is in Beyond, so that nothing is lost.
type Map struct {
	Bore      Bore
	Deposit   Deposit
	AngleStep quantity.Degrees
	DepthStep quantity.Metres // a whole number of pitches
	Columns   int
	Rows      int
	Cells     []Cell // row by row
	Beyond    Cell
	Layers    []Layer // the same, layer by layer, in the order in which they were begun

	// What the volume rests on: wire that was measured, wire that the
	// set-point stands in for, and arc time of which no wire is known.
	WireMeasured quantity.Metres
	WireDeclared quantity.Metres
	WireUnknown  quantity.Seconds
	WireDoubt    quantity.Ratio // relative standard uncertainty by calibration; 0 is unknown

	// AngleUncertainty is the worst expanded uncertainty, k = 2, of the angles at which
	// metal was laid; at 180 nothing is known of them.
	AngleUncertainty quantity.Degrees
	// Unevenness is the relative standard uncertainty of the metal at one angle, because
	// the torch may have turned faster or slower there than the counts show.
	Unevenness quantity.Ratio
}

// columns of 5 degrees, and a bound on the rows: a map stays small whatever the bore.
const (
	columns = 72
	maxRows = 1000
)

// NewMap returns an empty map, nil where the pattern does not go round a bore,
// or the bore's diameter, length or pitch is not declared.
func NewMap(b Bore, d Deposit) *Map {
	if d.Pattern == Straight || b.WornDiameter <= 0 || b.Length <= 0 || d.Pitch <= 0 {
		return nil
	}
	turns := math.Ceil(TurnsForLength(b.Length, d.Pitch) - wholeTurn)
	pitches := math.Ceil(turns / maxRows)
	m := &Map{
		Bore: b, Deposit: d, Columns: columns, AngleStep: fullTurn / columns,
		DepthStep: d.Pitch * quantity.Metres(pitches), Rows: int(math.Ceil(turns / pitches)),
	}
	m.Cells = make([]Cell, m.Rows*m.Columns)
	return m
}

// Clone returns a copy that shares nothing that changes.
func (m *Map) Clone() *Map {
	c := *m
	c.Cells = slices.Clone(m.Cells)
	c.Layers = slices.Clone(m.Layers)
	for k := range c.Layers {
		c.Layers[k].Cells = slices.Clone(c.Layers[k].Cells)
	}
	return &c
}

// PutLayer returns the cell of an index in a layer, which is there from then on; nil
// where the index has no cell.
func (m *Map) PutLayer(number, index int) *Cell {
	if index < 0 || index >= len(m.Cells) {
		return nil
	}
	k := slices.IndexFunc(m.Layers, func(l Layer) bool { return l.Number == number })
	if k < 0 {
		m.Layers, k = append(m.Layers, Layer{number, make([]Cell, len(m.Cells))}), len(m.Layers)
	}
	return &m.Layers[k].Cells[index]
}

// OfLayer returns the map of the k-th layer alone.
func (m *Map) OfLayer(k int) *Map {
	one := *m
	one.Cells, one.Layers = m.Layers[k].Cells, nil
	return &one
}

// Thickness returns how much the k-th layer added to the build-up of a cell: by the
// metal of all layers up to it, as the bore closes.
//
//	t_k = t(V_0 + ... + V_k) - t(V_0 + ... + V_(k-1))
func (m *Map) Thickness(k, row, column int) quantity.Metres {
	below, at := 0.0, row*m.Columns+column
	for _, l := range m.Layers[:k] {
		below += l.Cells[at].Volume
	}
	return m.heightOf(row, column, below+m.Layers[k].Cells[at].Volume) - m.heightOf(row, column, below)
}

// Index returns the index of the cell of a place, len(Cells) where it has none.
// A hair's breadth is forgiven: a ring stands at the very edge of its row.
func (m *Map) Index(p *Place) int {
	if p == nil {
		return len(m.Cells)
	}
	row := int(math.Floor(float64(p.Depth/m.DepthStep) + wholeTurn))
	column := int(math.Floor(float64(p.Angle / m.AngleStep)))
	if row < 0 || row >= m.Rows || column < 0 || column >= m.Columns {
		return len(m.Cells)
	}
	return row*m.Columns + column
}

// Put returns the cell of an index, Beyond for any other.
func (m *Map) Put(index int) *Cell {
	if index < 0 || index >= len(m.Cells) {
		return &m.Beyond
	}
	return &m.Cells[index]
}

// At returns the cell of a row and a column.
func (m *Map) At(row, column int) *Cell { return &m.Cells[row*m.Columns+column] }

// Centre returns the place in the middle of a cell.
func (m *Map) Centre(row, column int) Place {
	return Place{
		Angle: (quantity.Degrees(column) + 0.5) * m.AngleStep,
		Depth: min((quantity.Metres(row)+0.5)*m.DepthStep, m.Bore.Length),

		AngleUncertainty: m.AngleUncertainty,
	}
}

// WeldedShare returns the share of a column that the plan does not leave as a gap.
func (m *Map) WeldedShare(column int) float64 {
	return max(0, float64(m.Deposit.Welded(quantity.Degrees(column)*m.AngleStep, m.AngleStep)/m.AngleStep))
}

// overlap returns how much of one range of angles lies in another; both are
// given by their start and their width.
func overlap(start, width, other, otherWidth quantity.Degrees) quantity.Degrees {
	at := NormalAngle(other - start)
	inside := max(0, min(width, at+otherWidth)-at)
	wrapped := at + otherWidth - fullTurn // the part that comes round to the start again
	return max(0, inside) + max(0, min(width, wrapped))
}

// width returns how wide a strip of the wall the metal of a row lies on. A helix
// ends with the bore; the last ring may reach over its end.
func (m *Map) width(row int) quantity.Metres {
	left := m.Bore.Length - quantity.Metres(row)*m.DepthStep
	if m.Deposit.Pattern != Helix {
		left = quantity.Metres(math.Ceil(TurnsForLength(left, m.Deposit.Pitch)-wholeTurn)) * m.Deposit.Pitch
	}
	return min(m.DepthStep, left)
}

// flat returns the volume of a cell over the welded area of the worn wall, per
// radius: V/(theta*w).
func (m *Map) flat(row, column int) float64 { return m.flatOf(row, column, m.At(row, column).Volume) }

func (m *Map) flatOf(row, column int, volume float64) float64 {
	theta := float64(m.AngleStep) * math.Pi / 180 * m.WeldedShare(column)
	if area := theta * float64(m.width(row)); area > 0 {
		return volume / area
	}
	return 0
}

// Height returns the build-up over all layers in the middle of a cell. The metal
// of the cell fills a sector of a ring inside the worn radius R:
//
//	theta*w/2*(R^2 - (R-t)^2) = V
//	t = R - sqrt(R^2 - 2*V/(theta*w))
//
// with the welded angle theta, the width w and the volume V. It is the sum of the
// layers that LayerThickness gives one by one, for a diameter that closes with
// each. Metal that would fill the bore gives R.
func (m *Map) Height(row, column int) quantity.Metres {
	return m.heightOf(row, column, m.At(row, column).Volume)
}

func (m *Map) heightOf(row, column int, volume float64) quantity.Metres {
	r, metal := float64(m.Bore.WornDiameter)/2, m.flatOf(row, column, volume)
	left := r*r - 2*metal
	if left <= 0 {
		return quantity.Metres(r)
	}
	return quantity.Metres(2 * metal / (r + math.Sqrt(left))) // as in LayerThickness
}

// Stock returns the radial metal over the finish diameter in a cell, negative
// where the wall would still lie below it.
//
//	s = D_finish/2 - (D_worn/2 - t)
func (m *Map) Stock(row, column int) quantity.Metres {
	return m.Bore.FinishDiameter/2 - m.Bore.WornDiameter/2 + m.Height(row, column)
}
