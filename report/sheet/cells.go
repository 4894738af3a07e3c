package sheet

import (
	"strconv"
	"strings"

	"arctally/analyze/heat"
)

func shortVerdict(v heat.Verdict) string {
	switch v {
	case heat.Within:
		return "within"
	case heat.WithinNearLimit:
		return "within*"
	case heat.OutsideNearLimit:
		return "outside*"
	case heat.Outside:
		return "outside"
	default:
		return "unjudged"
	}
}

func basisMark(basis *string) string {
	if basis == nil {
		return dash
	}
	switch heat.TravelBasis(*basis) {
	case heat.TravelMeasured:
		return "m"
	case heat.TravelDerived:
		return "r"
	case heat.TravelDeclared:
		return "d"
	default:
		return *basis
	}
}

func count(n int) string {
	if n <= 0 {
		return dash
	}
	return strconv.Itoa(n)
}

func signed(text string, v float64) string {
	if v > 0 {
		return "+" + text
	}
	return text
}

func thousandth(v *float64) *float64 {
	if v == nil {
		return nil
	}
	return known(*v / 1000)
}

func orDash(text string) string {
	if strings.TrimSpace(text) == "" {
		return dash
	}
	return text
}
