package sheet

import (
	"strconv"
	"strings"

	"arctally/analyze/bore"
)

func Count(n int) string {
	if n <= 0 {
		return Dash
	}
	return strconv.Itoa(n)
}

func Signed(text string, v float64) string {
	if v > 0 {
		return "+" + text
	}
	return text
}

func Thousandth(v *float64) *float64 {
	if v == nil {
		return nil
	}
	return Known(*v / 1000)
}

func OrDash(text string) string {
	if strings.TrimSpace(text) == "" {
		return Dash
	}
	return text
}

func PlaceOf(p *bore.Place) (angle, depth *float64) {
	if p == nil {
		return nil, nil
	}
	return Plain(&p.Angle), In(&p.Depth, "mm")
}

func positive(n int) *int {
	if n <= 0 {
		return nil
	}
	return &n
}

func word(text string) *string {
	if text == "" {
		return nil
	}
	return &text
}

func Number(v *float64) *float64 {
	if v == nil {
		return nil
	}
	return Known(*v)
}

func Percent(v *float64) *float64 {
	if v == nil {
		return nil
	}
	return Known(100 * *v)
}
