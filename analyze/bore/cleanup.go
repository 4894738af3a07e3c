package bore

import (
	"math"
	"slices"

	"arctally/acquire/quantity"
)

// Answer tells whether a bore will clean up to its finish diameter.
type Answer string

// The answers; the empty one means that the map cannot tell. NotSeen is enough metal
// wherever it was measured, and too little without what was laid where it was not.
const (
	Enough    Answer = "enough" // least stock less the allowance is more than its uncertainty
	NotSeen   Answer = "not seen"
	Doubtful  Answer = "doubtful" // closer than its uncertainty
	TooLittle Answer = "too little"
)

// Allowance is what the stock must still cover, and how well it is known.
type Allowance struct {
	// Eccentricity is how far the boring axis may stand off the axis of the
	// worn bore.
	Eccentricity quantity.Metres
	// Relative standard uncertainties of deposition efficiency, wire and pitch.
	Efficiency, Wire, Pitch quantity.Ratio
	// Rotation is that of the metal at one angle, by an uneven torch.
	Rotation quantity.Ratio
	// WornRadius is the standard uncertainty of the radius that was measured.
	WornRadius quantity.Metres
}

// Standard uncertainties, each the half-width of a rectangular distribution over
// the square root of 3. Only that of the efficiency has a source: see
// DefaultEfficiency, from 92 to 99 %. The others are ours: common practice, no source.
const (
	efficiencyLimits   = 0.035   // of the wire
	wireMeasuredLimits = 0.02    // of the wire
	wireDeclaredLimits = 0.05    // of the wire, where the set-point stands in
	pitchLimits        = 0.02    // of the pitch
	wornRadiusLimits   = 0.05e-3 // m
)

// DefaultEccentricity is what is allowed where nobody says otherwise: a boring bar
// that is set true to the old bore within a quarter of a millimetre. Ours; common
// practice, no source.
const DefaultEccentricity quantity.Metres = 0.25e-3

// NewAllowance returns the usual uncertainties for a map.
func (m *Map) NewAllowance(eccentricity quantity.Metres) Allowance {
	a := Allowance{
		Eccentricity: eccentricity, Efficiency: efficiencyLimits / sqrt3, Pitch: pitchLimits / sqrt3,
		Wire: wireMeasuredLimits / sqrt3, WornRadius: wornRadiusLimits / sqrt3,
		Rotation: m.Unevenness,
	}
	if m.WireDoubt > 0 {
		a.Wire = m.WireDoubt
	}
	if m.WireDeclared > 0 {
		a.Wire = max(a.Wire, wireDeclaredLimits/sqrt3)
	}
	return a
}

const sqrt3 = 1.7320508075688772

// CleanUp is the answer with what it rests on.
type CleanUp struct {
	Answer       Answer
	Least        quantity.Metres // least radial stock of the cells that are judged
	Place        Place           // the middle of its cell
	Eccentricity quantity.Metres
	Margin       quantity.Metres // Least less the eccentricity
	Expanded     quantity.Metres // uncertainty of Margin, k = 2
	Judged       int             // cells
	BesideGap    int             // cells left out, because they lie in a planned gap or at its edge
	Short        []Shortage      // where more metal is needed, the worst first
	Unseen       []Shortage      // where data is missing, and what was measured is not enough
	Why          string          // why there is no answer
}

// besideGap is how near, in degrees, a cell to a planned gap is not judged: the
// arc is struck late there and ends early. Ours; common practice, no source.
const besideGap = 6

// unknownAngle is an expanded uncertainty at which nothing is known of an angle.
const unknownAngle = 180

// GapReach is how near to a planned gap cells are not judged: at its edge, and as far as
// the angles may be off.
func (m *Map) GapReach() quantity.Degrees { return besideGap + m.AngleUncertainty }

// BesideGap reports whether a column touches a planned gap or lies at its edge, or may
// do so for all that is known of the angles.
func (m *Map) BesideGap(column int) bool { return m.near(column, m.GapReach()) }

// NearGap reports the same of a column where its angle is.
func (m *Map) NearGap(column int) bool { return m.near(column, besideGap) }

// near reports whether a column lies within so many degrees of a planned gap.
func (m *Map) near(column int, reach quantity.Degrees) bool {
	start := quantity.Degrees(column) * m.AngleStep
	for _, g := range m.Deposit.Gaps {
		if m.AngleStep+2*reach >= fullTurn || overlap(start-reach, m.AngleStep+2*reach, g.From, g.Width()) > 0 {
			return true
		}
	}
	return false
}

// CleanUp answers whether the bore will clean up, by the cells outside of planned
// gaps and their edges.
func (m *Map) CleanUp(a Allowance) CleanUp {
	c := CleanUp{Eccentricity: a.Eccentricity}
	switch {
	case m.Bore.FinishDiameter <= 0:
		c.Why = "the finish diameter is not declared"
	case m.WireMeasured+m.WireDeclared <= 0:
		c.Why = "neither the wire that was fed nor its set-point is known"
	case m.Deposit.WireDiameter <= 0 || m.Deposit.Efficiency <= 0:
		c.Why = "the wire diameter is not declared"
	default:
		m.judge(&c, a)
	}
	return c
}

func (m *Map) judge(c *CleanUp, a Allowance) {
	short, unseen := make([]bool, len(m.Cells)), make([]bool, len(m.Cells))
	worst := math.Inf(1)
	for column := range m.Columns {
		if m.NearGap(column) {
			c.BesideGap += m.Rows
			continue
		}
		vague := m.BesideGap(column)
		for row := range m.Rows {
			if vague && !m.At(row, column).NotSeen() {
				c.BesideGap++
				continue
			}
			c.Judged++
			stock, doubt := m.Stock(row, column), m.expanded(row, column, a)
			margin := stock - a.Eccentricity
			at := row*m.Columns + column
			if margin < doubt && m.Cells[at].NotSeen() {
				unseen[at] = true
				continue
			}
			short[at] = margin < doubt
			if float64(stock) < worst {
				worst = float64(stock)
				c.Least, c.Place, c.Margin, c.Expanded = stock, m.Centre(row, column), margin, doubt
			}
		}
	}
	c.Answer = answer(c.Margin, c.Expanded)
	switch {
	case math.IsInf(worst, 1):
		c.Answer = ""
		c.Why = "the planned gaps and the gaps in the data leave no cell to judge"
		if m.AngleUncertainty >= unknownAngle && len(m.Deposit.Gaps) > 0 {
			c.Why = "the angles are not known well enough to tell where the planned gaps are"
		}
	case c.Answer == Enough && slices.Contains(unseen, true):
		c.Answer = NotSeen
	}
	c.Short, c.Unseen = m.shortages(short), m.shortages(unseen)
}

// CellDoubt returns the expanded uncertainty (k = 2) of the stock in one cell.
func (m *Map) CellDoubt(row, column int, a Allowance) quantity.Metres {
	return m.expanded(row, column, a)
}

// CellAnswer answers for the metal that was measured in one cell.
func (m *Map) CellAnswer(row, column int, a Allowance) Answer {
	return answer(m.Stock(row, column)-a.Eccentricity, m.expanded(row, column, a))
}

func answer(margin, expanded quantity.Metres) Answer {
	switch {
	case margin >= expanded:
		return Enough
	case margin > -expanded:
		return Doubtful
	default:
		return TooLittle
	}
}

// unseenShare is the part of the time over a cell that may be without data before
// the cell says no more about its metal. Ours; common practice, no source.
const unseenShare = 0.02

// NotSeen reports whether so much of the time over the cell is without data that
// nobody knows what was laid there.
func (c *Cell) NotSeen() bool { return c.Unseen > unseenShare*(c.Unseen+c.ArcTime) }

// expanded returns the expanded uncertainty (k = 2) of the stock in a cell. The
// height follows the volume by
//
//	dt/dV = 1/(theta*w*(R-t))
//
// and the volume has the relative uncertainties of efficiency, wire and pitch, and of
// how evenly the torch turned.
func (m *Map) expanded(row, column int, a Allowance) quantity.Metres {
	relative := math.Hypot(math.Hypot(float64(a.Efficiency), float64(a.Wire)), math.Hypot(float64(a.Pitch), float64(a.Rotation)))
	left := float64(m.Bore.WornDiameter/2 - m.Height(row, column))
	if left <= 0 {
		return m.Bore.WornDiameter / 2
	}
	return 2 * quantity.Metres(math.Hypot(m.flat(row, column)/left*relative, float64(a.WornRadius)))
}
