package sheet

import (
	"fmt"

	"arctally/acquire/quantity"
)

// The quantities that the wall shows on page and paper, beside HeatLayer.
const (
	BuildUpLayer MapLayer = "build-up" // radial metal against what is needed
	ArcOnLayer   MapLayer = "arc-on"   // time with an arc, of the time that the torch was there
)

// WallView is what the unrolled wall shows of one quantity, of one layer or of all. Of
// all, a cell has the worst that any of its layers has, and the build-up of all together.
type WallView struct {
	Of      MapLayer
	Number  int // of the layer; 0 is all
	Limits  WallLimits
	Scale   WallScale  // where there are no limits
	Values  []*float64 // row by row, in the SI unit; nil is not known
	Classes []WallClass

	title string
}

// WallViews are all that the wall shows: each quantity of all layers, and of each; none
// where there is no map.
func (s *Sheet) WallViews(eccentricity quantity.Metres) (views []*WallView) {
	if s.Wall == nil {
		return nil
	}
	views = append(views, s.buildUpView(eccentricity))
	for k := range s.Wall.Layers {
		views = append(views, s.thicknessView(k))
	}
	limits, least := WallLimits{}, 1-float64(s.Job.Procedure.Judge.ArcOnTolerance)
	limits.Low, limits.High = RangeEnds(s.Job.Procedure.Limits.HeatInput, "J/m")
	views = append(views, s.byLayer(HeatLayer, s.JudgedName(), limits, s.heatOf())...)
	return append(views, s.byLayer(ArcOnLayer, "Arc-on ratio", WallLimits{Low: &least}, s.arcOnOf)...)
}

// newView knows nothing yet but where the planned gaps are.
func (s *Sheet) newView(of MapLayer, number int, title string, limits WallLimits) *WallView {
	m := s.Wall
	v := &WallView{Of: of, Number: number, Limits: limits, title: title, Values: make([]*float64, len(m.Cells)), Classes: make([]WallClass, len(m.Cells))}
	for at := range v.Classes {
		switch column := at % m.Columns; {
		case m.WeldedShare(column) <= 0:
			v.Classes[at] = WallGap
		case m.BesideGap(column):
			v.Classes[at] = WallBeside
		default:
			v.Classes[at] = WallUnknown
		}
	}
	return v
}

// put takes the value of a cell; what lies in a planned gap or at its edge is not judged.
func (v *WallView) put(at int, value, guard float64) {
	v.Values[at] = Known(value)
	if v.Classes[at] == WallUnknown && v.Values[at] != nil {
		v.Classes[at] = v.Limits.Class(value, guard)
	}
}

// scaled gives values without limits a step of a scale.
func (v *WallView) scaled() *WallView {
	if !v.Limits.none() {
		return v
	}
	var judged []float64
	for at, value := range v.Values {
		if value != nil && v.Classes[at] == WallWithin {
			judged = append(judged, *value)
		}
	}
	v.Scale = scaleOver(judged)
	for at, value := range v.Values {
		if value != nil && v.Classes[at] == WallWithin {
			v.Classes[at] = v.Scale.Class(*value)
		}
	}
	return v
}

// Worse reports whether one cell is worse than another: in its class, or nearer to a
// limit, or beyond one by more.
func (v *WallView) Worse(one, other int) bool {
	return v.worse(v.Classes[one], v.Values[one], v.Classes[other], v.Values[other])
}

func (v *WallView) worse(class WallClass, value *float64, other WallClass, otherValue *float64) bool {
	if a, b := class.severity(), other.severity(); a != b || value == nil || otherValue == nil {
		return a > b
	}
	if v.Limits.none() {
		return *value > *otherValue
	}
	return v.Limits.margin(*value) < v.Limits.margin(*otherValue)
}

// byLayer are the views of each layer after the worst of them all. What a layer laid in
// a cell is told by of, with its guard; false is not known.
func (s *Sheet) byLayer(kind MapLayer, title string, limits WallLimits, of func(k, at int) (value, guard float64, ok bool)) []*WallView {
	all := s.newView(kind, 0, title, limits)
	views := []*WallView{all}
	seen := make([]bool, len(all.Classes))
	for k, layer := range s.Wall.Layers {
		one := s.newView(kind, layer.Number, title, limits)
		for at := range layer.Cells {
			if value, guard, ok := of(k, at); ok {
				one.put(at, value, guard)
			}
			if c := &layer.Cells[at]; c.ArcTime+c.Off+c.Unseen <= 0 {
				continue // this layer has not come here
			}
			if !seen[at] || all.worse(one.Classes[at], one.Values[at], all.Classes[at], all.Values[at]) {
				all.Values[at], all.Classes[at], seen[at] = one.Values[at], one.Classes[at], true
			}
		}
		views = append(views, one.scaled())
	}
	all.scaled()
	return views
}

// heatOf is the heat input of a cell in a layer. It is known no better than the heat
// input of the passes that laid it.
func (s *Sheet) heatOf() func(k, at int) (value, guard float64, ok bool) {
	band, doubts := float64(s.Job.Procedure.Judge.GuardBand), make([]float64, len(s.Wall.Layers)) // each asks all passes: once for all cells
	for k := range doubts {
		doubts[k] = s.relativeDoubt(s.Wall.Layers[k].Number)
	}
	return func(k, at int) (value, guard float64, ok bool) {
		cell := s.Wall.Layers[k].Cells[at]
		h := s.HeatOf(cell)
		if h == nil || cell.NotSeen() {
			return 0, 0, false
		}
		return float64(*h), float64(*h) * band * doubts[k], true
	}
}

// relativeDoubt is the worst relative expanded uncertainty of the passes of a layer.
func (s *Sheet) relativeDoubt(layer int) (worst float64) {
	for k := range s.Passes {
		if p := &s.Passes[k]; p.Layer == layer {
			if value, expanded := s.Judged(p); value != nil && expanded != nil && *value > 0 {
				worst = max(worst, float64(*expanded / *value))
			}
		}
	}
	return worst
}

// arcOnOf is the time with an arc of the time that the torch was over a cell in a pass.
func (s *Sheet) arcOnOf(k, at int) (value, guard float64, ok bool) {
	cell := &s.Wall.Layers[k].Cells[at]
	there := cell.ArcTime + cell.Off
	if there <= 0 || cell.NotSeen() {
		return 0, 0, false
	}
	return float64(cell.ArcTime / there), 0, true
}

// buildUpView is the metal over the finish diameter, which must reach as far as the
// boring axis may stand off; without a finish diameter, that on the worn wall.
func (s *Sheet) buildUpView(eccentricity quantity.Metres) *WallView {
	m, limits, title := s.Wall, WallLimits{}, "Metal on the worn wall, all layers"
	if m.Bore.FinishDiameter > 0 {
		limits.Low, title = new(float64(eccentricity)), "Metal over the finish diameter, all layers"
	}
	v, allowance, stock := s.newView(BuildUpLayer, 0, title, limits), m.NewAllowance(eccentricity), StockOf(m)
	if m.WireMeasured+m.WireDeclared <= 0 {
		return v
	}
	for at := range m.Cells {
		row, column := at/m.Columns, at%m.Columns
		doubt := float64(m.CellDoubt(row, column, allowance))
		v.put(at, float64(stock(row, column)), doubt)
		if m.Cells[at].NotSeen() && (limits.none() || v.Classes[at] != WallWithin) && v.Classes[at] != WallGap {
			v.Classes[at], v.Values[at] = WallUnknown, nil // what was measured is not enough, and there may be more
		}
	}
	return v.scaled()
}

// thicknessView is what one layer added.
func (s *Sheet) thicknessView(k int) *WallView {
	m := s.Wall
	v := s.newView(BuildUpLayer, m.Layers[k].Number, "Metal that the layer added", WallLimits{})
	if m.WireMeasured+m.WireDeclared <= 0 {
		return v
	}
	for at := range m.Cells {
		if cell := &m.Layers[k].Cells[at]; cell.ArcTime > 0 && !cell.NotSeen() {
			v.put(at, float64(m.Thickness(k, at/m.Columns, at%m.Columns)), 0)
		}
	}
	return v.scaled()
}

// Text is what a view shows, and in which unit of a reader.
func (v *WallView) Text(u Units) (title string, unit Unit) {
	title, set := v.title, u.Set()
	switch {
	case v.Number > 0:
		title += fmt.Sprintf(", layer %d", v.Number)
	case v.Of != BuildUpLayer:
		title += ", the worst of all layers"
	}
	switch v.Of {
	case BuildUpLayer:
		return title, set.Bore
	case HeatLayer:
		return title, set.Heat
	default:
		return title, Unit{"", 3}
	}
}

// In gives a value of the view in a unit.
func (v *WallView) In(si float64, unit Unit) float64 {
	switch v.Of {
	case BuildUpLayer:
		return quantity.In(quantity.Metres(si), unit.Name)
	case HeatLayer:
		return quantity.In(quantity.JoulesPerMetre(si), unit.Name)
	default:
		return si
	}
}
