package layout

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// pen takes the strokes of a path, in the units of its drawing.
type pen interface {
	move(x, y float64)
	line(x, y float64)
	curve(x1, y1, x2, y2, x, y float64)
	close()
}

// arguments of the letters that our drawings use.
var arguments = map[byte]int{'M': 2, 'L': 2, 'H': 1, 'V': 1, 'A': 7, 'Z': 0}

// tracer is where a path has got to.
type tracer struct {
	pen            pen
	x, y           float64
	startX, startY float64
}

// trace follows the data of a path.
func trace(data string, p pen) error {
	t := tracer{pen: p}
	for rest := strings.TrimSpace(data); rest != ""; {
		letter := rest[0]
		upper := letter &^ 0x20
		n, known := arguments[upper]
		if !known {
			return fmt.Errorf("a path with %q in it", string(rest[0]))
		}
		end := 1 + strings.IndexFunc(rest[1:], func(r rune) bool { return r >= 'A' && r != 'e' })
		if end == 0 {
			end = len(rest)
		}
		values, err := numbers(rest[1:end])
		if err != nil {
			return err
		}
		if err := t.command(upper, letter != upper, values, n); err != nil {
			return err
		}
		rest = rest[end:]
	}
	return nil
}

func numbers(text string) (values []float64, err error) {
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == ',' || r == '\n' }) {
		v, err := strconv.ParseFloat(word, 64)
		if err != nil || math.IsNaN(v) || math.IsInf(v, 0) || math.Abs(v) > 1e6 {
			return nil, fmt.Errorf("a path with %q in it", word)
		}
		values = append(values, v)
	}
	return values, nil
}

// command carries out one letter, once for each set of its arguments.
func (t *tracer) command(letter byte, relative bool, values []float64, n int) error {
	if n == 0 {
		t.x, t.y = t.startX, t.startY
		t.pen.close()
		return nil
	}
	if len(values) == 0 || len(values)%n != 0 {
		return fmt.Errorf("a path with %d numbers after %c", len(values), letter)
	}
	for ; len(values) > 0; values = values[n:] {
		t.step(letter, relative, values[:n])
		if letter == 'M' {
			letter = 'L'
		}
	}
	return nil
}

func (t *tracer) step(letter byte, relative bool, v []float64) {
	baseX, baseY := 0.0, 0.0
	if relative {
		baseX, baseY = t.x, t.y
	}
	fromX, fromY := t.x, t.y
	switch letter {
	case 'H':
		t.x = baseX + v[0]
	case 'V':
		t.y = baseY + v[0]
	default:
		t.x, t.y = baseX+v[len(v)-2], baseY+v[len(v)-1]
	}
	switch letter {
	case 'M':
		t.startX, t.startY = t.x, t.y
		t.pen.move(t.x, t.y)
	case 'A':
		arc(t.pen, fromX, fromY, t.x, t.y, v[0], v[3] != 0, v[4] != 0)
	default:
		t.pen.line(t.x, t.y)
	}
}

// arc draws part of a circle between two points; clockwise is as it looks, with y
// downwards. Radius and centre follow from the ends (SVG 1.1, appendix F.6.5,
// read; here for a circle).
func arc(p pen, x1, y1, x2, y2, r float64, large, clockwise bool) {
	half := math.Hypot(x2-x1, y2-y1) / 2
	if half == 0 || r <= 0 {
		p.line(x2, y2)
		return
	}
	r = math.Max(r, half)
	off := math.Sqrt(math.Max(0, r*r-half*half)) / (2 * half)
	if large == clockwise {
		off = -off
	}
	centreX, centreY := (x1+x2)/2-off*(y2-y1), (y1+y2)/2+off*(x2-x1)
	from := math.Atan2(y1-centreY, x1-centreX)
	span := math.Atan2(y2-centreY, x2-centreX) - from
	switch {
	case clockwise && span < 0:
		span += 2 * math.Pi
	case !clockwise && span > 0:
		span -= 2 * math.Pi
	}
	bend(p, centreX, centreY, r, from, span)
}

// bend goes round a centre in curves of a quarter at most.
func bend(p pen, centreX, centreY, r, from, span float64) {
	steps := max(1, math.Ceil(math.Abs(span)/(math.Pi/2)-1e-9))
	step := span / steps
	handle := 4.0 / 3 * math.Tan(step/4) * r
	for k := range int(steps) {
		sin1, cos1 := math.Sincos(from + float64(k)*step)
		sin2, cos2 := math.Sincos(from + float64(k+1)*step)
		p.curve(centreX+r*cos1-handle*sin1, centreY+r*sin1+handle*cos1,
			centreX+r*cos2+handle*sin2, centreY+r*sin2-handle*cos2, centreX+r*cos2, centreY+r*sin2)
	}
}

// ring is a whole circle.
func ring(p pen, x, y, r float64) {
	p.move(x+r, y)
	bend(p, x, y, r, 0, 2*math.Pi)
	p.close()
}
