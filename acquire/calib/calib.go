// Package calib knows how a measured code becomes a quantity: the line of the
// channel, corrected by the line of a calibration, with its standard
// uncertainty; and what set-up checks tell of that line, of the wire feed, of
// the rotation and of the place of the torch.
//
// Who it holds for. A calibration is bound to the box that it was made with, and
// never touches a sample of another one; Speakers tells which box that is where
// nobody named it.
//
// Terms. A reading is what the source says before any calibration, a reference
// is what a better instrument says of the same thing. A standard uncertainty u
// is one standard deviation; reports double it. A check holds from its place in
// a record on, never before it.
//
// Formulas. The line of a check against a meter is the ordinary least squares
// fit of the reference y on the reading x, n points, nu = n-2:
//
//	y = a + b*x
//	s^2 = sum( (y - a - b*x)^2 ) / nu
//	u(b)^2 = s^2/Sxx,  u(a)^2 = s^2*(1/n + m^2/Sxx),  u(a,b) = -s^2*m/Sxx
//	u(y(x))^2 = u(a)^2 + 2*x*u(a,b) + x^2*u(b)^2
//
// with the mean m of the readings and Sxx = sum( (x-m)^2 ). Source: GUM H.3;
// standing: secondary, checked against its figures.
//
// Errors: an *Error says what is wrong with the figures of a check, and what to
// do about it. A caller's bug panics.
package calib

import "slices"

// Calibration corrects the values of one channel from a tick on:
//
//	corrected = value*Gain + Offset
type Calibration struct {
	Channel string  `json:"channel"` // name of the channel
	Gain    float64 `json:"gain"`
	Offset  float64 `json:"offset"` // in the unit of the channel
	// Relative is the relative standard uncertainty of the corrected value;
	// 0 is unknown, and a default with its source takes its place.
	Relative float64 `json:"relative_standard_uncertainty"`
	// Freedom is the degrees of freedom of Relative, as far as it comes from
	// readings; 0 is not known.
	Freedom     float64 `json:"degrees_of_freedom,omitempty"`
	Date        string  `json:"date"` // when it was done, as written
	Due         string  `json:"due"`  // when it is due again, as written
	Certificate string  `json:"certificate"`
	// Box is the identity of the box that it was made with, which alone it corrects;
	// empty where nobody said, and Speakers finds it.
	Box string `json:"box,omitempty"`
}

// Of returns the corrected value of a reading.
func (c Calibration) Of(reading float64) float64 { return reading*c.Gain + c.Offset }

// Reading is the reverse of Of: the reading that a corrected value came from.
func (c Calibration) Reading(corrected float64) float64 { return (corrected - c.Offset) / c.Gain }

// InForce joins calibrations by channel; a later one takes the place of an
// earlier one. It changes neither list.
func InForce(calibrations []Calibration, later ...Calibration) []Calibration {
	for _, c := range later {
		calibrations = slices.DeleteFunc(slices.Clone(calibrations), func(other Calibration) bool { return other.Channel == c.Channel })
		calibrations = append(calibrations, c)
	}
	return calibrations
}

// Timed is a calibration and the place in a record from which it holds.
type Timed struct {
	Calibration
	Epoch int
	Tick  int64 // ns
}

// HoldsAt tells whether the place lies at or after the beginning of the calibration.
func (t Timed) HoldsAt(epoch int, tick int64) bool {
	return begins(t.Epoch, t.Tick, epoch, tick)
}
