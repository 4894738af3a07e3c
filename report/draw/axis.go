package draw

import (
	"math"
	"strconv"

	"arctally/acquire/quantity"
	"arctally/report/sheet"
)

// frame is the room that a chart has for its axes.
type frame struct{ width, height, left, right, top, bottom float64 }

// box is what a chart in the frame shows.
func (f frame) box() Box { return Box{Width: tenth(f.width), Height: tenth(f.height)} }

// foot is the lower end of the plot, and end its right one.
func (f frame) foot() float64 { return f.height - f.bottom }
func (f frame) end() float64  { return f.width - f.right }

// axes are the lines at the left and below.
func (f frame) axes() Path {
	return Path{Class: "axis", Outline: Outline{}.move(tenth(f.left), tenth(f.top)).down(tenth(f.foot())).across(tenth(f.end()))}
}

// limits is a window that may be open on either side.
type limits struct{ low, high *float64 }

func (l limits) outside(v float64) bool {
	return l.low != nil && v < *l.low || l.high != nil && v > *l.high
}

func windowOf[Q quantity.Quantity](r quantity.Range[Q], unit sheet.Unit) limits {
	low, high := sheet.RangeEnds(r, unit.Name)
	return limits{low, high}
}

// axis maps values to heights.
type axis struct {
	low, high, step float64
	top, bottom     float64
}

// newAxis widens a range to round numbers.
func newAxis(low, high float64, f frame) axis {
	if high-low < 1e-9*math.Max(1, math.Abs(high)) {
		pad := math.Max(math.Abs(high)*0.05, 1e-6)
		low, high = low-pad, high+pad
	}
	margin := (high - low) * 0.06
	step := roundStep((high - low + 2*margin) / math.Max(2, (f.height-f.top-f.bottom)/46))
	return axis{
		low: math.Floor((low-margin)/step) * step, high: math.Ceil((high+margin)/step) * step, step: step,
		top: f.top, bottom: f.foot(),
	}
}

// roundStep is the next 1, 2 or 5 times a power of ten.
func roundStep(rough float64) float64 {
	power := math.Pow(10, math.Floor(math.Log10(rough)))
	for _, m := range []float64{1, 2, 5} {
		if rough <= m*power*(1+1e-9) {
			return m * power
		}
	}
	return 10 * power
}

// decimalsOf is how many decimals tell one step from the next.
func decimalsOf(step float64) int { return max(0, -int(math.Floor(math.Log10(step)+1e-9))) }

func (a axis) y(v float64) float64 { return a.bottom - (v-a.low)/(a.high-a.low)*(a.bottom-a.top) }

// grid is a line across the plot at each step, with its value.
func (a axis) grid(f frame) (shapes Layer) {
	for n := math.Round(a.low / a.step); n*a.step <= a.high+a.step/2; n++ {
		v := n * a.step
		at := tenth(a.y(v))
		shapes = append(shapes, Path{Class: "gridline", Outline: Outline{}.move(tenth(f.left), at).across(tenth(f.end()))},
			Label{
				Class: "end", X: tenth(f.left - 8), Y: at, DY: whole(5), Words: strconv.FormatFloat(v, 'f', decimalsOf(a.step), 64),
			})
	}
	return shapes
}
