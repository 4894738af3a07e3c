// Package quantity knows the physical quantities of the trade as typed floats in
// SI units, and is the only place where units are parsed and printed.
//
// A plane angle is kept in degrees, which are accepted for use with the SI and
// are what the protractor at the bore reads. Diffusible hydrogen is kept in
// millilitres per 100 g, the only unit the trade and its formulas use.
//
// Errors: text without a number, without a unit, or with a unit of another
// dimension is an *Error that names the text and the units that would do.
package quantity

import "math"

// Quantities in SI units; the unit is in each type's comment.
type (
	// Volts is an electric potential difference in V.
	Volts float64
	// Amperes is an electric current in A.
	Amperes float64
	// Ohms is a resistance in ohm.
	Ohms float64
	// Watts is a power in W.
	Watts float64
	// Joules is an energy in J.
	Joules float64
	// Seconds is a time in s.
	Seconds float64
	// Hertz is a rate in 1/s.
	Hertz float64
	// Metres is a length in m.
	Metres float64
	// SquareMetres is an area in m^2.
	SquareMetres float64
	// MetresPerSecond is a speed in m/s.
	MetresPerSecond float64
	// JoulesPerMetre is an energy per length in J/m; 1 kJ/mm is 1e6 J/m.
	JoulesPerMetre float64
	// AmperesPerMetre is how a current follows a length, in A/m.
	AmperesPerMetre float64
	// TurnsPerSecond is a rotational frequency in 1/s; 1 rpm is 1/60.
	TurnsPerSecond float64
	// Degrees is a plane angle in degrees.
	Degrees float64
	// Celsius is a temperature in degrees Celsius.
	Celsius float64
	// CubicMetresPerSecond is a volume flow in m^3/s.
	CubicMetresPerSecond float64
	// CubicMetres is a volume in m^3.
	CubicMetres float64
	// Kilograms is a mass in kg.
	Kilograms float64
	// KilogramsPerMetre is a mass per length in kg/m.
	KilogramsPerMetre float64
	// KilogramsPerSecond is a mass flow in kg/s.
	KilogramsPerSecond float64
	// Ratio is a pure number; 1 % is 0.01.
	Ratio float64
	// Hydrogen is a diffusible hydrogen content in ml per 100 g of deposit.
	Hydrogen float64
)

// SecondsOf returns a time that was counted in nanoseconds.
func SecondsOf(ns int64) Seconds { return Seconds(float64(ns) * 1e-9) }

// Nanoseconds returns the time to the nearest nanosecond.
func (t Seconds) Nanoseconds() int64 { return int64(math.Round(float64(t) * 1e9)) }
