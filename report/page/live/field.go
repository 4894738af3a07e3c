package live

import (
	"math"

	"arctally/acquire/quantity"
	"arctally/analyze/now"
)

// declared is what a job declares, nil where it does not.
func declared[Q quantity.Quantity](q Q, unit string) *float64 {
	if q == 0 {
		return nil
	}
	return new(quantity.In(q, unit))
}

// known is a quantity in a unit, nil where it is not known.
func known[Q quantity.Quantity](q *Q, unit string) *float64 {
	if q == nil {
		return nil
	}
	return finite(quantity.In(*q, unit))
}

// finite lets only numbers through: what is none is not known, and must not end a
// recording by being sent.
func finite(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}

// plain is a number, nil where it is not known.
func plain(v *float64) *float64 {
	if v == nil {
		return nil
	}
	return finite(*v)
}

// word is a word of the analysis, nil where it has none.
func word[W ~string](w W) *string {
	if w == "" {
		return nil
	}
	return new(string(w))
}

// counted is a number from 1 on, nil where it is not known.
func counted(n int) *int {
	if n == 0 {
		return nil
	}
	return &n
}

func limits[Q quantity.Quantity](r quantity.Range[Q], unit string) (low, high *float64) {
	if r.HasLow {
		low = known(&r.Low, unit)
	}
	if r.HasHigh {
		high = known(&r.High, unit)
	}
	return low, high
}

func marginOf(s now.WindowState) Margin {
	switch s {
	case now.Inside:
		return Within
	case now.NearEdge:
		return Near
	case now.Outside:
		return Outside
	default:
		return NotJudged
	}
}
