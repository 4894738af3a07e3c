package draw

import (
	"fmt"
	"math"
	"sort"
	"strconv"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/finding"
	"arctally/report/sheet"
)

// End is the bore seen along its axis from the torch side, angles clockwise
// from the reference mark at the top. The deposit is drawn thicker than it is.
type End struct {
	Box            string // the part of the plane that is shown
	Centre         coord
	Steel, Wall    coord   // radii: outer edge of the drawn steel, worn wall
	Layers         []coord // inner radius of each layer
	Hole           coord   // that of the last one
	Finish         coord   // radius to be machined to; 0 is not drawn
	Gaps           []string
	Datum          string // the reference mark
	Angles         []tick2
	Pins           []pin
	Summary, Extra string
}

// tick2 is a label at a point.
type tick2 struct {
	X, Y  coord
	Label string
}

// pin is a finding on a drawing: its numbered sign, and a line to its place.
type pin struct {
	X, Y, FromX, FromY coord
	Shape              string
	Number             int
	Small              bool // three figures need smaller type
	Open               bool
	Title              string
}

const (
	endSize   = 464.0
	wallR     = 124.0
	steelR    = 140.0
	depositR  = 88.0 // inner edge of the last layer
	firstPinR = 164.0
	pinR      = 11.0
	pinPitch  = 27.0
	pinOrbits = 3
)

// NewEnd draws the bore with some of the findings.
func NewEnd(s *sheet.Sheet, findings []*sheet.Finding) End {
	v := End{Centre: endSize / 2, Datum: fmt.Sprintf("M%s %sV%s", coord(endSize/2), coord(endSize/2-wallR), coord(endSize/2-steelR-8)), Steel: steelR, Wall: wallR, Hole: depositR}
	layers := layerCount(s)
	for k := 1; k <= layers; k++ {
		v.Layers = append(v.Layers, coord(wallR-(wallR-depositR)*float64(k)/float64(layers)))
	}
	v.Finish = finishRadius(s)
	for _, g := range s.Job.Deposit.Gaps {
		v.Gaps = append(v.Gaps, sector(g, depositR-4, steelR))
	}
	for angle := 0; angle < 360; angle += 45 {
		x, y := onCircle(endSize/2, float64(angle), depositR-22)
		v.Angles = append(v.Angles, tick2{coord(x), coord(y + 5), strconv.Itoa(angle) + "°"})
	}
	edge := steelR + 4.0
	for _, reach := range v.pins(findings) {
		edge = math.Max(edge, reach+pinR+6)
	}
	v.Box = fmt.Sprintf("%s %s %s %s", coord(endSize/2-edge), coord(endSize/2-edge), coord(2*edge), coord(2*edge))
	v.Summary = fmt.Sprintf("End view of the bore from the torch side with %s at their angle.", sheet.Plural(len(findings), "finding", "findings"))
	return v
}

// layerCount is what the passes say, at least one.
func layerCount(s *sheet.Sheet) int {
	layers := 1
	for i := range s.Passes {
		layers = max(layers, s.Passes[i].Layer)
	}
	return min(layers, 12)
}

// finishRadius lies between the worn wall and the deposit in true proportion.
func finishRadius(s *sheet.Sheet) coord {
	b := s.Job.Bore
	if b.FinishDiameter <= b.WeldToDiameter || b.FinishDiameter >= b.WornDiameter || b.WeldToDiameter <= 0 {
		return 0
	}
	share := float64(b.WornDiameter-b.FinishDiameter) / float64(b.WornDiameter-b.WeldToDiameter)
	return coord(wallR - (wallR-depositR)*share)
}

// pins puts each finding on the first of three orbits that has room at its
// angle; what finds no room is named under the drawing. It returns how far from
// the centre each pin is.
func (v *End) pins(findings []*sheet.Finding) (reaches []float64) {
	sorted := append([]*sheet.Finding(nil), findings...)
	sort.SliceStable(sorted, func(a, b int) bool { return sorted[a].Place.Angle < sorted[b].Place.Angle })
	var placed [][2]float64
	crowded := 0
	for _, f := range sorted {
		x, y, ok := freeOrbit(float64(f.Place.Angle), placed)
		if !ok {
			crowded++
			continue
		}
		placed = append(placed, [2]float64{x, y})
		reaches = append(reaches, math.Hypot(x-endSize/2, y-endSize/2))
		fromX, fromY := onCircle(endSize/2, float64(f.Place.Angle), wallR)
		v.Pins = append(v.Pins, newPin(f, x, y, fromX, fromY))
	}
	if crowded > 0 {
		v.Extra = fmt.Sprintf("%s more at angles already marked: see the list.", sheet.Plural(crowded, "finding", "findings"))
	}
	return reaches
}

func freeOrbit(angle float64, placed [][2]float64) (x, y float64, ok bool) {
	for orbit := range pinOrbits {
		x, y = onCircle(endSize/2, angle, firstPinR+pinPitch*float64(orbit))
		if free(x, y, placed) {
			return x, y, true
		}
	}
	return 0, 0, false
}

func free(x, y float64, placed [][2]float64) bool {
	for _, p := range placed {
		if math.Hypot(x-p[0], y-p[1]) < pinPitch-0.5 {
			return false
		}
	}
	return true
}

func newPin(f *sheet.Finding, x, y, fromX, fromY float64) pin {
	drop := 4.0
	if f.Rule == finding.ArcOut || f.Rule == finding.ArcInGap || f.Rule == finding.ArcOnRatio {
		drop = 7 // a triangle is wide below
	}
	return pin{
		X: coord(x), Y: coord(y + drop), FromX: coord(fromX), FromY: coord(fromY), Shape: RuleShape(f.Rule, x, y),
		Number: f.Number, Small: f.Number > 99, Open: f.Open,
		Title: fmt.Sprintf("finding %d: %s at %s, %s deep", f.Number, sheet.Spaced(string(f.Rule)),
			quantity.Text(f.Place.Angle, "deg", 0), quantity.Text(f.Place.Depth, "mm", 1)),
	}
}

// RuleShape tells the families of findings apart: round electrical, square
// mechanical, pointed where the arc was not as planned, a diamond for heat.
func RuleShape(rule finding.Rule, x, y float64) string {
	switch rule {
	case finding.Voltage, finding.Current:
		return circle(x, y, pinR)
	case finding.ArcOut, finding.ArcInGap, finding.ArcOnRatio:
		return polygon(x, y+2, pinR*1.4, 3, -90)
	case finding.HeatInput:
		return polygon(x, y, pinR*1.3, 4, -90)
	case finding.GasFlow, finding.Interpass:
		return polygon(x, y, pinR*1.12, 6, 0)
	default:
		return polygon(x, y, pinR*1.3, 4, -45)
	}
}

// onCircle is the point at an angle clockwise from the top.
func onCircle(centre, angle, r float64) (x, y float64) {
	sin, cos := math.Sincos(angle * math.Pi / 180)
	return centre + r*sin, centre - r*cos
}

// sector is the part of a ring that a gap leaves unwelded.
func sector(g bore.Gap, inner, outer float64) string {
	from, to := float64(g.From), float64(g.To)
	span := math.Mod(to-from+360, 360)
	large := 0
	if span > 180 {
		large = 1
	}
	x1, y1 := onCircle(endSize/2, from, outer)
	x2, y2 := onCircle(endSize/2, from+span, outer)
	x3, y3 := onCircle(endSize/2, from+span, inner)
	x4, y4 := onCircle(endSize/2, from, inner)
	return fmt.Sprintf("M%s %sA%s %s 0 %d 1 %s %sL%s %sA%s %s 0 %d 0 %s %sZ", coord(x1), coord(y1),
		coord(outer), coord(outer), large, coord(x2), coord(y2), coord(x3), coord(y3),
		coord(inner), coord(inner), large, coord(x4), coord(y4))
}
