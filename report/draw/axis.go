package draw

import (
	"math"
	"strconv"
)

// extent is the range that a strip must show: values, bars and limits.
func extent(points []point, window limits) (low, high float64, ok bool) {
	low, high = math.Inf(1), math.Inf(-1)
	take := func(v float64) { low, high = math.Min(low, v), math.Max(high, v) }
	for _, p := range points {
		if p.value == nil {
			continue
		}
		ok = true
		doubt := 0.0
		if p.doubt != nil {
			doubt = *p.doubt
		}
		take(*p.value - doubt)
		take(*p.value + doubt)
		if p.plan != nil {
			take(*p.plan)
		}
	}
	for _, limit := range []*float64{window.low, window.high} {
		if limit != nil {
			take(*limit)
		}
	}
	return low, high, ok
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
		top: f.top, bottom: f.height - f.bottom,
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

func (a axis) y(v float64) float64 { return a.bottom - (v-a.low)/(a.high-a.low)*(a.bottom-a.top) }

func (a axis) ticks() []tick {
	decimals := max(0, -int(math.Floor(math.Log10(a.step)+1e-9)))
	var ticks []tick
	for n := math.Round(a.low / a.step); n*a.step <= a.high+a.step/2; n++ {
		v := n * a.step
		ticks = append(ticks, tick{coord(a.y(v)), strconv.FormatFloat(v, 'f', decimals, 64)})
	}
	return ticks
}
