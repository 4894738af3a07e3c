package draw

import (
	"fmt"
	"html/template"
	"math"
	"strings"
)

// hatch is a pattern that is told from any grey. A page has it from the browser's
// own patterns, the paper from lines that are painted: both stand here side by side.
type hatch struct {
	ground, line string  // colours, by name or by digits
	every        float64 // distance of the lines, in units of the drawing
	weight       float64
	angles       []float64 // of the lines, degrees; none has dots
	pattern      template.HTML
}

// hatches are the patterns by the names that the style sheet has for them.
var hatches = map[string]hatch{
	"hatch": {"paper", "grey", 7, 2, []float64{-45}, `<pattern id="hatch" width="7" height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">` +
		`<rect width="7" height="7" class="paper"/><path d="M0 0V7" class="hatchline"/></pattern>`},
	"guard": {"paper", "grey", 6, 0.8, []float64{45}, `<pattern id="guard" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(-45)">` +
		`<rect width="6" height="6" class="paper"/><path d="M0 0V6" stroke="#4a525b" stroke-width=".8"/></pattern>`},
	"short": {"ink", "paper", 5.7, 1.3, []float64{45, -45}, `<pattern id="short" width="8" height="8" patternUnits="userSpaceOnUse">` +
		`<rect width="8" height="8" fill="#12161b"/><path d="M0 0L8 8M8 0L0 8" stroke="#fff" stroke-width="1.3"/></pattern>`},
	"high": {"ink", "paper", 6, 2, []float64{90}, `<pattern id="high" width="6" height="6" patternUnits="userSpaceOnUse">` +
		`<rect width="6" height="6" fill="#12161b"/><path d="M3 0V6" stroke="#fff" stroke-width="2"/></pattern>`},
	"unseen": {"paper", "ink", 7, 3.4, nil, `<pattern id="unseen" width="7" height="7" patternUnits="userSpaceOnUse">` +
		`<rect width="7" height="7" fill="#fff"/><circle cx="3.5" cy="3.5" r="1.7" fill="#12161b"/></pattern>`},
	"doubtful": {"paper", "ink", 6, 2, []float64{0}, `<pattern id="doubtful" width="6" height="6" patternUnits="userSpaceOnUse">` +
		`<rect width="6" height="6" fill="#fff"/><path d="M0 3H6" stroke="#12161b" stroke-width="2"/></pattern>`},
	"apart": {"paper", "#c2a596", 6, 2.4, []float64{-45}, `<pattern id="apart" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">` +
		`<rect width="6" height="6" fill="#fff"/><path d="M0 0V6" stroke="#c2a596" stroke-width="2.4"/></pattern>`},
}

// Patterns are the hatches that a page shows, for its own definitions.
func Patterns(names ...string) (patterns []template.HTML) {
	for _, name := range names {
		patterns = append(patterns, hatches[name].pattern)
	}
	return patterns
}

// hatchName is the hatch that a style sheet fills with: url(#name).
func hatchName(fill string) (name string, ok bool) {
	name, ok = strings.CutPrefix(fill, "url(#")
	return strings.TrimSuffix(name, ")"), ok
}

// mostHatched bounds the strokes of a hatch.
const mostHatched = 1e5

// hatched fills an outline with a pattern.
func (p *painter) hatched(name string, outline func(pen), box bounds) error {
	h, ok := hatches[name]
	if !ok {
		return fmt.Errorf("no hatch is called %q", name)
	}
	if (box.right-box.left+h.every)*(box.bottom-box.top+h.every) > mostHatched*h.every*h.every {
		return fmt.Errorf("an outline of %.0f by %.0f is too large for the hatch %q", box.right-box.left, box.bottom-box.top, name)
	}
	pdf, ground, line := p.pdf, p.style.hue(h.ground), p.style.hue(h.line)
	defer p.colours()()
	pdf.RawWriteStr("q")
	outline(p)
	pdf.RawWriteStr("W n")
	pdf.SetFillColor(ground.R, ground.G, ground.B)
	left, top := p.onPage(box.left, box.top)
	pdf.Rect(left, top, (box.right-box.left)*p.scale, (box.bottom-box.top)*p.scale, "F")
	p.stroke(h.weight*p.scale, line)
	for _, angle := range h.angles {
		p.lines(angle, h.every, box)
	}
	if h.angles == nil {
		pdf.SetFillColor(line.R, line.G, line.B)
		p.dots(h, box)
	}
	pdf.RawWriteStr("Q")
	return nil
}

// colours returns what sets colours and weight again as they are now. The file sets them back
// itself, of which its writer does not know, and leaves out a colour that it takes for set.
func (p *painter) colours() (again func()) {
	fillR, fillG, fillB := p.pdf.GetFillColor()
	drawR, drawG, drawB := p.pdf.GetDrawColor()
	weight := p.pdf.GetLineWidth()
	return func() {
		p.pdf.SetFillColor(fillR, fillG, fillB)
		p.pdf.SetDrawColor(drawR, drawG, drawB)
		p.pdf.SetLineWidth(weight)
	}
}

// lines run over a box at an angle; they keep their places from box to box, so
// that neighbours look like one field.
func (p *painter) lines(angle, every float64, box bounds) {
	sin, cos := math.Sincos(angle * math.Pi / 180)
	across := func(x, y float64) float64 { return y*cos - x*sin }
	along := func(x, y float64) float64 { return x*cos + y*sin }
	from, until := math.Inf(1), math.Inf(-1)
	begin, end := math.Inf(1), math.Inf(-1)
	for _, corner := range [][2]float64{{box.left, box.top}, {box.right, box.top}, {box.left, box.bottom}, {box.right, box.bottom}} {
		from, until = min(from, across(corner[0], corner[1])), max(until, across(corner[0], corner[1]))
		begin, end = min(begin, along(corner[0], corner[1])), max(end, along(corner[0], corner[1]))
	}
	for at := math.Ceil(from/every) * every; at <= until; at += every {
		x1, y1 := p.onPage(begin*cos-at*sin, begin*sin+at*cos)
		x2, y2 := p.onPage(end*cos-at*sin, end*sin+at*cos)
		p.pdf.Line(x1, y1, x2, y2)
	}
}

func (p *painter) dots(h hatch, box bounds) {
	for y := math.Floor(box.top/h.every) * h.every; y <= box.bottom+h.every; y += h.every {
		for x := math.Floor(box.left/h.every) * h.every; x <= box.right+h.every; x += h.every {
			px, py := p.onPage(x, y)
			p.pdf.Circle(px, py, h.weight/2*p.scale, "F")
		}
	}
}
