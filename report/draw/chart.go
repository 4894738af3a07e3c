package draw

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"arctally/report/sheet"
)

// tick is a labelled place on an axis.
type tick struct {
	At    coord
	Label string
}

// Strip is a chart of one quantity over the passes.
type Strip struct {
	Title, Unit, Summary     string
	Large                    bool // too wide for a phone, so it scrolls there
	Width, Height            coord
	Left, Right, Top, Bottom coord // edges of the plot
	LabelX, LabelY           coord
	Ticks                    []tick // values
	Passes                   []tick // pass numbers
	WindowTop, WindowHeight  coord
	Limits                   []limitLine
	Guard                    string // closer to a limit than the guard band
	Plans                    string // a short line at each planned value
	Marks                    []mark
}

// limitLine is a limit with its words, which stand outside of the window where
// there is room: the passes are inside.
type limitLine struct {
	At, Off, X coord
	Anchor     string // class of its words: start or end
	Label      string
}

// wordsLeft moves the words of the limits away from a last pass that is not known.
func (s *Strip) wordsLeft() {
	for k := range s.Limits {
		s.Limits[k].X, s.Limits[k].Anchor = s.Left+6, "start"
	}
}

const labelAbove = -5

func labelBelow(y float64, f frame) float64 {
	if y+18 > f.height-f.bottom {
		return labelAbove
	}
	return 14
}

// mark is one pass in a strip; a pass whose value is not known has no shape but
// a question mark at the foot.
type mark struct {
	X, Y      coord
	Shape     string // path
	Sign      string
	Bar       bool
	Low, High coord
	Unknown   bool
	Title     string
}

// point is a value of a pass before it is drawn.
type point struct {
	pass  int
	value *float64
	doubt *float64 // half length of its bar
	guard *float64 // how close to a limit cannot be told
	plan  *float64 // what was planned for this pass
	sign  string
	words string
}

// frame is the room that a strip has.
type frame struct{ width, height, left, right, top, bottom float64 }

var (
	largeFrame = frame{760, 285, 66, 14, 16, 44}
	smallFrame = frame{460, 190, 58, 10, 14, 36}
)

// limits is a window that may be open on either side.
type limits struct{ low, high *float64 }

func (l limits) outside(v float64) bool {
	return l.low != nil && v < *l.low || l.high != nil && v > *l.high
}

// newStrip draws points into a frame. It returns nil where no value is known.
func newStrip(title, unit string, decimals int, f frame, points []point, window limits) *Strip {
	low, high, ok := extent(points, window)
	if !ok {
		return nil
	}
	axis := newAxis(low, high, f)
	s := &Strip{
		Title: title, Unit: unit, Large: f.width == largeFrame.width, Summary: stripSummary(title, unit, decimals, points),
		Width: coord(f.width), Height: coord(f.height), Left: coord(f.left), Right: coord(f.width - f.right),
		Top: coord(f.top), Bottom: coord(f.height - f.bottom),
		LabelX: coord(f.left - 8), LabelY: coord(f.height - f.bottom + 18),
	}
	s.Ticks = axis.ticks()
	s.window(axis, window, decimals, f)
	if last := len(points) - 1; points[last].value == nil && points[0].value != nil {
		s.wordsLeft()
	}
	s.marks(axis, points, unit, decimals, f)
	s.bands(axis, points, window, f)
	return s
}

func (s *Strip) window(axis axis, window limits, decimals int, f frame) {
	top, bottom := f.top, f.height-f.bottom
	if window.low != nil {
		bottom = axis.y(*window.low)
		s.Limits = append(s.Limits, limitLine{coord(bottom), coord(labelBelow(bottom, f)), s.Right, "end", "lower limit " + sheet.Digits(window.low, decimals)})
	}
	if window.high != nil {
		top = axis.y(*window.high)
		s.Limits = append(s.Limits, limitLine{coord(top), labelAbove, s.Right, "end", "upper limit " + sheet.Digits(window.high, decimals)})
	}
	if window.low != nil || window.high != nil {
		s.WindowTop, s.WindowHeight = coord(top), coord(max(0, bottom-top))
	}
}

func (s *Strip) marks(axis axis, points []point, unit string, decimals int, f frame) {
	room := (f.width - f.left - f.right) / float64(len(points))
	size := math.Min(7, math.Max(2.2, room*0.36))
	every := max(1, int(math.Ceil(34/room)))
	for i, p := range points {
		x := f.left + room*(float64(i)+0.5)
		if i%every == 0 {
			s.Passes = append(s.Passes, tick{coord(x), strconv.Itoa(p.pass)})
		}
		m := mark{X: coord(x), Sign: p.sign}
		if p.value == nil {
			m.Unknown, m.Y = true, coord(f.height-f.bottom-4)
			m.Title = fmt.Sprintf("pass %d: not known", p.pass)
			s.Marks = append(s.Marks, m)
			continue
		}
		y := axis.y(*p.value)
		m.Y, m.Shape = coord(y), SignPath(p.sign, x, y, size)
		m.Title = strings.TrimSpace(fmt.Sprintf("pass %d: %s %s %s", p.pass, sheet.Digits(p.value, decimals), unit, p.words))
		if p.doubt != nil && *p.doubt > 0 {
			m.Bar, m.Low, m.High = true, coord(axis.y(*p.value-*p.doubt)), coord(axis.y(*p.value+*p.doubt))
		}
		s.Marks = append(s.Marks, m)
	}
}

// bands draws, pass by pass, where a limit is closer than the guard band, and
// what was planned.
func (s *Strip) bands(axis axis, points []point, window limits, f frame) {
	room := (f.width - f.left - f.right) / float64(len(points))
	inside := func(v float64) coord { return coord(min(axis.bottom, max(axis.top, axis.y(v)))) }
	for i, p := range points {
		x := f.left + room*float64(i)
		for _, limit := range []*float64{window.low, window.high} {
			if limit != nil && p.guard != nil && *p.guard > 0 {
				s.Guard += fmt.Sprintf("M%s %sH%sV%sH%sZ", coord(x), inside(*limit+*p.guard), coord(x+room), inside(*limit-*p.guard), coord(x))
			}
		}
		if p.plan != nil {
			s.Plans += fmt.Sprintf("M%s %sH%s", coord(x+room*0.2), coord(axis.y(*p.plan)), coord(x+room*0.8))
		}
	}
}

// stripSummary is the chart in words, for those who cannot see it.
func stripSummary(title, unit string, decimals int, points []point) string {
	var low, high *float64
	missing := 0
	for _, p := range points {
		switch {
		case p.value == nil:
			missing++
			continue
		case low == nil:
			low, high = p.value, p.value
		}
		if *p.value < *low {
			low = p.value
		}
		if *p.value > *high {
			high = p.value
		}
	}
	text := fmt.Sprintf("%s by pass: from %s to %s %s over %s", title, sheet.Digits(low, decimals), sheet.Digits(high, decimals), unit, sheet.Plural(len(points), "pass", "passes"))
	if missing > 0 {
		text += fmt.Sprintf(", not known for %d", missing)
	}
	return text + "."
}
