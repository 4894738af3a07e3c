package calib

import "arctally/acquire/series"

// Line takes a code of a channel to its value, in the unit of the channel (V, A,
// m/s ...):
//
//	value = code*Scale + Offset
//
// Scale is in that unit per code, Offset in that unit. All that turns codes into
// values does it by a Line, so that one sample has one value everywhere, to the
// last bit.
type Line struct{ Scale, Offset float64 }

// LineOf returns the line of a channel, before any calibration.
func LineOf(c series.Channel) Line { return Line{c.Scale, c.Offset} }

// InUnit returns the line of what comes in the unit of its channel already, as
// the values of slow channels do.
func InUnit() Line { return Line{Scale: 1} }

// Of returns the value of a code; of a mean of codes, the mean of their values.
func (l Line) Of(code float64) float64 { return code*l.Scale + l.Offset }

// MeanOf returns the mean of n values from the sum of their codes. It multiplies
// first: Of(sum/n) may differ from it in the last bit.
func (l Line) MeanOf(sum, n float64) float64 { return l.Scale*sum/n + l.Offset }

// Times returns the line to values in a unit that is smaller by a factor.
func (l Line) Times(factor float64) Line { return Line{l.Scale * factor, l.Offset * factor} }

// Under returns the line with a calibration behind it, which corrects the values:
//
//	corrected = (code*Scale + Offset)*gain + offset
//	          = code*(Scale*gain) + (Offset*gain + offset)
func (l Line) Under(c Calibration) Line { return Line{l.Scale * c.Gain, c.Of(l.Offset)} }

// SumOfProducts returns the sum of n products of a value on line v and one on
// line i, from the sums of their codes cv and ci:
//
//	sum(v*i) = a*c*sum(cv*ci) + a*d*sum(cv) + b*c*sum(ci) + n*b*d
//
// with v = a*cv + b and i = c*ci + d. With n = 1 it takes means and gives a mean.
func SumOfProducts(v, i Line, n, products, sumV, sumI float64) float64 {
	return v.Scale*i.Scale*products + v.Scale*i.Offset*sumV + v.Offset*i.Scale*sumI + n*v.Offset*i.Offset
}
