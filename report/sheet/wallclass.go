package sheet

import (
	"math"
	"slices"
	"strconv"
)

// WallClass says where the value of a part of the unrolled wall stands to its limits.
// Page and paper colour and hatch by it, and by nothing else.
type WallClass byte

// The classes. A value without limits has one of the steps of a scale.
const (
	WallGap       WallClass = '.' // a planned gap
	WallBeside    WallClass = 'b' // at the edge of one, or perhaps there
	WallWithin    WallClass = 'w'
	WallNear      WallClass = 'n' // within, closer to a limit than the guard band
	WallUnknown   WallClass = '?'
	WallLow       WallClass = 'l'
	WallHigh      WallClass = 'h'
	WallFirstStep WallClass = '0' // the lowest; those after it follow
)

// WallSteps is how many steps a scale has.
const WallSteps = 5

// severity orders the classes: of several cells the worst is shown.
var severity = map[WallClass]int{WallGap: 0, WallBeside: 1, WallWithin: 2, WallNear: 3, WallUnknown: 4, WallLow: 5, WallHigh: 5}

func (c WallClass) severity() int {
	if n, ok := severity[c]; ok {
		return n
	}
	return severity[WallWithin] // a step of a scale
}

// WallLimits are what the values of a map are held against, in the SI unit. Where both
// are nil there are none, and a Scale stands in.
type WallLimits struct{ Low, High *float64 }

// Class is the class of a value; guard is how close to a limit cannot be told. A value
// at its limit is within.
func (l WallLimits) Class(v, guard float64) WallClass {
	switch {
	case l.Low != nil && v < *l.Low:
		return WallLow
	case l.High != nil && v > *l.High:
		return WallHigh
	case l.Low != nil && v < *l.Low+guard, l.High != nil && v > *l.High-guard:
		return WallNear
	default:
		return WallWithin
	}
}

// none reports whether there are no limits.
func (l WallLimits) none() bool { return l.Low == nil && l.High == nil }

// margin is how far within its limits a value is, below 0 outside.
func (l WallLimits) margin(v float64) float64 {
	left := math.Inf(1)
	if l.Low != nil {
		left = v - *l.Low
	}
	if l.High != nil {
		left = min(left, *l.High-v)
	}
	return left
}

// WallScale is a scale of equal steps.
type WallScale struct{ Low, Step float64 }

// leastSpan is how much a scale spans at the least, as a share of its middle: less is
// noise. Ours, no source.
const leastSpan = 0.25

// scaleOver spans values, and never less than leastSpan.
func scaleOver(values []float64) WallScale {
	if values == nil {
		return WallScale{Step: 1}
	}
	low, high := slices.Min(values), slices.Max(values)
	middle := (low + high) / 2
	span := max(high-low, leastSpan*math.Abs(middle), 1e-9)
	return WallScale{middle - span/2, span / WallSteps}
}

// Class is the step of a value.
func (s WallScale) Class(v float64) WallClass {
	return WallFirstStep + WallClass(max(0, min(WallSteps-1, math.Floor((v-s.Low)/s.Step+1e-9))))
}

// WallKey is a class with its words.
type WallKey struct {
	Class WallClass
	Words string
}

// Keys are the classes that are in a map, in a fixed order, with the limits in the
// units of a reader.
func (v *WallView) Keys(u Units) (keys []WallKey) {
	_, unit := v.Text(u)
	text := func(si float64) string { return strconv.FormatFloat(v.In(si, unit), 'f', unit.Digits, 64) }
	suffix := ""
	if unit.Name != "" {
		suffix = " " + unit.Name
	}
	words := map[WallClass]string{
		WallUnknown: "not known: no data, or nothing laid", WallBeside: "at the edge of a planned gap: not judged", WallGap: "planned gap",
		WallNear: "within, closer to a limit than the guard band",
	}
	switch l := v.Limits; {
	case l.none():
		for k := range WallSteps {
			from := v.Scale.Low + float64(k)*v.Scale.Step
			words[WallFirstStep+WallClass(k)] = text(from) + " to " + text(from+v.Scale.Step) + suffix
		}
	case l.High == nil:
		words[WallWithin] = "within: at least " + text(*l.Low) + suffix
	case l.Low == nil:
		words[WallWithin] = "within: at most " + text(*l.High) + suffix
	default:
		words[WallWithin] = "within " + text(*l.Low) + " to " + text(*l.High) + suffix
	}
	if v.Limits.Low != nil {
		words[WallLow] = "below " + text(*v.Limits.Low) + suffix
	}
	if v.Limits.High != nil {
		words[WallHigh] = "above " + text(*v.Limits.High) + suffix
	}
	for _, c := range []WallClass{WallLow, WallHigh, WallNear, WallWithin, '4', '3', '2', '1', '0', WallUnknown, WallBeside, WallGap} {
		if slices.Contains(v.Classes, c) {
			keys = append(keys, WallKey{c, words[c]})
		}
	}
	return keys
}
