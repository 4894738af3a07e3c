package sheet

import (
	"math"
	"strings"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
)

// WallMap is what a page paints of the unrolled wall: a letter a cell and view. What stands
// in a cell is asked for when a person touches it.
type WallMap struct {
	AngleStep float64    `json:"angle_step_deg"`
	DepthStep float64    `json:"depth_step_mm"`
	Columns   int        `json:"columns"`
	Rows      int        `json:"rows"`
	Fall      float64    `json:"fall_per_turn_mm"` // how much deeper a bead comes with each turn
	Views     []MapLook  `json:"views"`
	CleanUp   MapCleanUp `json:"clean_up"`
}

// MapLook is a view of the wall as it is painted.
type MapLook struct {
	Of      string   `json:"of"`    // build-up, heat, arc-on, findings
	Layer   *int     `json:"layer"` // null is all of them: the worst of each cell
	Title   string   `json:"title"`
	Unit    string   `json:"unit"` // of the values and limits; "1" is a pure number
	Low     *float64 `json:"low"`
	High    *float64 `json:"high"`
	Classes string   `json:"classes"` // a letter for each cell, row by row, as in keys
	Keys    []MapKey `json:"keys"`    // those that there are
}

// The classes of the view that shows where findings begin.
const (
	wallFound   = 'f'
	wallNothing = 'p'
)

func (s *Sheet) wallMap() *WallMap {
	m := s.Wall
	w := &WallMap{
		AngleStep: float64(m.AngleStep), DepthStep: *In(&m.DepthStep, "mm"), Columns: m.Columns, Rows: m.Rows,
		Fall: quantity.In(s.Job.Deposit.FallPerTurn(), "mm"), CleanUp: cleanUpRow(m.CleanUp(m.NewAllowance(bore.DefaultEccentricity))),
	}
	for _, v := range s.WallViews(bore.DefaultEccentricity) {
		w.Views = append(w.Views, v.look())
	}
	w.Views = append(w.Views, s.foundLook())
	return w
}

// foundLook shows where findings begin.
func (s *Sheet) foundLook() MapLook {
	letters := make([]byte, len(s.Wall.Cells))
	for at := range letters {
		switch {
		case s.Wall.WeldedShare(at%s.Wall.Columns) <= 0:
			letters[at] = byte(WallGap)
		case s.Wall.Cells[at].Findings > 0:
			letters[at] = wallFound
		default:
			letters[at] = wallNothing
		}
	}
	look := MapLook{Of: "findings", Title: "Where findings begin", Unit: "1", Classes: string(letters), Keys: []MapKey{}}
	for _, key := range []MapKey{{Class: string(wallFound), Metric: "findings begin here"}, {Class: string(WallGap), Metric: "planned gap"}} {
		if strings.Contains(look.Classes, key.Class) {
			key.US = key.Metric
			look.Keys = append(look.Keys, key)
		}
	}
	return look
}

// CellAlone is what stands in one cell of the wall.
type CellAlone struct {
	Cell     MapCell      `json:"cell"`
	Values   []CellValue  `json:"values"` // view by view, in the unit of each
	Passes   []PassName   `json:"passes"` // those that may have laid it, layer by layer
	Findings []FindingRow `json:"findings"`
}

// CellValue is the value of a cell in a view.
type CellValue struct {
	Of    string   `json:"of"`
	Layer *int     `json:"layer"`
	Value *float64 `json:"value"` // null where not known
}

// CellAlone returns a cell by its row and column. False is one that the wall does not have.
func (s *Sheet) CellAlone(row, column int) (one CellAlone, ok bool) {
	m := s.Wall
	if m == nil || row < 0 || row >= m.Rows || column < 0 || column >= m.Columns {
		return one, false
	}
	one = CellAlone{Cell: mapCell(m, s.Job.Procedure.Process, row, column), Values: []CellValue{}, Findings: []FindingRow{}}
	for _, v := range s.WallViews(bore.DefaultEccentricity) {
		one.Values = append(one.Values, CellValue{string(v.Of), positive(v.Number), v.figure(v.Values[row*m.Columns+column])})
	}
	one.Passes = s.passesAt(m.AngleStep*(quantity.Degrees(column)+0.5), m.DepthStep*(quantity.Metres(row)+0.5))
	for k := range s.Findings {
		if p := s.Findings[k].Place; p != nil && s.isCell(p, row, column) {
			one.Findings = append(one.Findings, s.findingRow(k))
		}
	}
	return one, true
}

// isCell reports whether a place lies in a cell, by the figures that are printed of both;
// what is beyond the last row counts to it.
func (s *Sheet) isCell(p *bore.Place, row, column int) bool {
	m := s.Wall
	angle, depth := PlaceOf(p)
	if angle == nil || depth == nil {
		return false
	}
	return int(math.Floor(*angle/float64(m.AngleStep)))%m.Columns == column && min(m.Rows-1, int(math.Floor(*depth / *In(&m.DepthStep, "mm")))) == row
}

// alike is how far two depths may be apart, in metres, at which passes began at the same.
const alike = 1e-6

// passesAt are the passes that may have laid a place, layer by layer: those that came over
// its angle, and of these the one that began deepest without beginning below it. A pass of
// which no place is known may always have.
func (s *Sheet) passesAt(angle quantity.Degrees, depth quantity.Metres) []PassName {
	var layers []int
	over := map[int][]*Pass{}
	for k := range s.Passes {
		p := &s.Passes[k]
		if !p.crosses(float64(angle), float64(s.Wall.AngleStep)/2) {
			continue
		}
		if over[p.Layer] == nil {
			layers = append(layers, p.Layer)
		}
		over[p.Layer] = append(over[p.Layer], p)
	}
	names := []PassName{}
	for _, layer := range layers {
		deepest := quantity.Metres(math.Inf(-1))
		for _, p := range over[layer] {
			if p.StartPlace != nil && p.StartPlace.Depth <= depth {
				deepest = max(deepest, p.StartPlace.Depth)
			}
		}
		for _, p := range over[layer] {
			if p.StartPlace == nil || math.Abs(float64(p.StartPlace.Depth-deepest)) < alike {
				names = append(names, p.name())
			}
		}
	}
	return names
}

// crosses reports whether the torch came over an angle in a pass, give or take slack in
// degrees; where that is not known it may have.
func (p *Pass) crosses(angle, slack float64) bool {
	turned := Finite(p.turnedBy())
	if turned == nil || p.StartPlace == nil {
		return true
	}
	ahead := (angle - float64(p.StartPlace.Angle)) * math.Copysign(1, *turned)
	return roundAbout(ahead+slack) <= 360*math.Abs(*turned)+2*slack
}

// turnedBy is how far the torch turned in a pass, clockwise above 0: which way is told by
// where it began and ended.
func (p *Pass) turnedBy() *float64 {
	turns := Finite(p.Turns)
	if turns == nil || p.StartPlace == nil || p.EndPlace == nil {
		return turns
	}
	off := func(way float64) float64 {
		return math.Abs(roundAbout(float64(p.StartPlace.Angle-p.EndPlace.Angle)+way*360**turns+180) - 180)
	}
	if off(-1) < off(1)-1 {
		return new(-*turns)
	}
	return turns
}

// roundAbout is an angle from 0 to 360 degrees.
func roundAbout(angle float64) float64 {
	angle = math.Mod(angle, 360)
	if angle < 0 {
		angle += 360
	}
	return angle
}
