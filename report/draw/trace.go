package draw

import "math"

// pen takes the strokes of an outline, in the units of its drawing.
type pen interface {
	move(x, y float64)
	line(x, y float64)
	curve(x1, y1, x2, y2, x, y float64)
	close()
}

// trace follows an outline with a pen.
func (o Outline) trace(p pen) {
	var x, y, startX, startY float64
	for _, s := range o {
		fromX, fromY := x, y
		switch s.letter {
		case 'H', 'M', 'L', 'A':
			x = s.x.value()
		case 'h', 'a':
			x += s.x.value()
		}
		switch s.letter {
		case 'V', 'M', 'L', 'A':
			y = s.y.value()
		case 'v', 'a':
			y += s.y.value()
		}
		switch s.letter {
		case 'M':
			startX, startY = x, y
			p.move(x, y)
		case 'A', 'a':
			arc(p, fromX, fromY, x, y, s.r.value(), s.large, s.clockwise)
		case 'Z':
			x, y = startX, startY
			p.close()
		default:
			p.line(x, y)
		}
	}
}

// bounds is a pen that only looks how far an outline goes.
type bounds struct {
	left, top, right, bottom float64
	some                     bool
}

func (b *bounds) take(x, y float64) {
	if !b.some {
		*b = bounds{x, y, x, y, true}
	}
	b.left, b.right = min(b.left, x), max(b.right, x)
	b.top, b.bottom = min(b.top, y), max(b.bottom, y)
}

func (b *bounds) empty() bool       { return !b.some }
func (b *bounds) move(x, y float64) { b.take(x, y) }
func (b *bounds) line(x, y float64) { b.take(x, y) }
func (b *bounds) close()            {}

func (b *bounds) curve(x1, y1, x2, y2, x, y float64) {
	b.take(x1, y1)
	b.take(x2, y2)
	b.take(x, y)
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
