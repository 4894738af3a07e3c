package live

import (
	"arctally/acquire/quantity"
	"arctally/analyze/now"
	"arctally/report/sheet"
)

// declared is what a job declares, nil where it does not.
func declared[Q quantity.Quantity](q Q, unit string) *float64 {
	if q == 0 {
		return nil
	}
	return new(quantity.In(q, unit))
}

// plain is a number, nil where it is not known.
func plain(v *float64) *float64 {
	if v == nil {
		return nil
	}
	return sheet.Known(*v)
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
