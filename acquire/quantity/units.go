package quantity

import (
	"math"
	"slices"
)

// unit is one way to write a quantity:
//
//	SI value = (written value - zero) * factor / per
//
// Factor and per are both exact in binary, so that a conversion is rounded
// twice at most, and the common ones once.
type unit struct {
	name             string
	factor, per      float64
	zero             float64 // what is written for the zero of the SI unit
	otherwiseWritten []string
}

// dimension is a kind of quantity with its units, the usual one first.
type dimension struct {
	name  string
	units []unit
}

// The inch and the pound are exact by the international yard and pound
// agreement of 1959: 25.4 mm and 0.45359237 kg. A foot is 12 inches, so a cubic
// foot is 0.028316846592 m^3. All are standing: by definition.
const (
	inch, perInch         = 254, 1e4          // m
	foot, perFoot         = 3048, 1e4         // m
	pound, perPound       = 45359237, 1e8     // kg
	cubicFoot, perCubicFt = 28316846592, 1e12 // m^3
	minute, hour          = 60, 3600          // s
	degreesPerHalfTurn    = 180
)

// inchName is the unit that people also write fractions of.
const inchName = "in"

var (
	voltage    = dimension{"voltage", []unit{{name: "V", factor: 1, per: 1}, {name: "mV", factor: 1, per: 1e3}, {name: "kV", factor: 1e3, per: 1}}}
	current    = dimension{"current", []unit{{name: "A", factor: 1, per: 1}, {name: "mA", factor: 1, per: 1e3}, {name: "kA", factor: 1e3, per: 1}}}
	resistance = dimension{"resistance", []unit{{name: "mohm", factor: 1, per: 1e3, otherwiseWritten: []string{"mΩ"}}, {name: "ohm", factor: 1, per: 1, otherwiseWritten: []string{"Ω"}}, {name: "uohm", factor: 1, per: 1e6, otherwiseWritten: []string{"µΩ", "μΩ"}}}}
	power      = dimension{"power", []unit{{name: "W", factor: 1, per: 1}, {name: "kW", factor: 1e3, per: 1}}}
	energy     = dimension{"energy", []unit{{name: "J", factor: 1, per: 1}, {name: "kJ", factor: 1e3, per: 1}}}
	duration   = dimension{"time", []unit{
		{name: "s", factor: 1, per: 1},
		{name: "ms", factor: 1, per: 1e3},
		{name: "us", factor: 1, per: 1e6, otherwiseWritten: []string{"µs", "μs"}},
		{name: "min", factor: minute, per: 1},
		{name: "h", factor: hour, per: 1},
	}}
	rate = dimension{"rate", []unit{
		{name: "Hz", factor: 1, per: 1, otherwiseWritten: []string{"1/s"}},
		{name: "kHz", factor: 1e3, per: 1},
		{name: "MHz", factor: 1e6, per: 1},
		{name: "/s", factor: 1, per: 1},
	}}
	length = dimension{"length", []unit{
		{name: "mm", factor: 1, per: 1e3},
		{name: "m", factor: 1, per: 1},
		{name: "cm", factor: 1, per: 1e2},
		{name: "um", factor: 1, per: 1e6, otherwiseWritten: []string{"µm", "μm"}},
		{name: inchName, factor: inch, per: perInch},
		{name: "ft", factor: foot, per: perFoot},
	}}
	area = dimension{"area", []unit{
		{name: "mm2", factor: 1, per: 1e6, otherwiseWritten: []string{"mm²", "mm^2"}},
		{name: "cm2", factor: 1, per: 1e4, otherwiseWritten: []string{"cm²", "cm^2"}},
		{name: "m2", factor: 1, per: 1, otherwiseWritten: []string{"m²", "m^2"}},
		{name: "in2", factor: inch * inch, per: perInch * perInch, otherwiseWritten: []string{"in²", "in^2"}},
	}}
	speed = dimension{"speed", []unit{
		{name: "mm/min", factor: 1, per: 1e3 * minute},
		{name: "m/min", factor: 1, per: minute},
		{name: "m/s", factor: 1, per: 1},
		{name: "mm/s", factor: 1, per: 1e3},
		{name: "cm/min", factor: 1, per: 1e2 * minute},
		{name: "in/min", factor: inch, per: perInch * minute, otherwiseWritten: []string{"ipm"}},
	}}
	energyPerLength = dimension{"energy per length", []unit{
		{name: "kJ/mm", factor: 1e6, per: 1},
		{name: "J/mm", factor: 1e3, per: 1},
		{name: "J/m", factor: 1, per: 1},
		{name: "kJ/cm", factor: 1e5, per: 1},
		{name: "kJ/in", factor: 1e3 * perInch, per: inch},
		{name: "J/in", factor: perInch, per: inch},
	}}
	currentPerLength = dimension{"current per length", []unit{
		{name: "A/mm", factor: 1e3, per: 1},
		{name: "A/m", factor: 1, per: 1},
		{name: "A/in", factor: perInch, per: inch},
	}}
	rotation = dimension{"rotation", []unit{
		{name: "rpm", factor: 1, per: minute, otherwiseWritten: []string{"1/min"}},
		{name: "1/s", factor: 1, per: 1},
		{name: "deg/s", factor: 1, per: 2 * degreesPerHalfTurn, otherwiseWritten: []string{"°/s"}},
	}}
	angle = dimension{"angle", []unit{
		{name: "deg", factor: 1, per: 1, otherwiseWritten: []string{"°"}},
		{name: "rad", factor: degreesPerHalfTurn, per: math.Pi},
	}}
	temperature = dimension{"temperature", []unit{
		{name: "degC", factor: 1, per: 1, otherwiseWritten: []string{"°C"}},
		{name: "degF", factor: 5, per: 9, zero: 32, otherwiseWritten: []string{"°F"}},
		{name: "K", factor: 1, per: 1, zero: 273.15},
	}}
	volumeFlow = dimension{"volume flow", []unit{
		{name: "L/min", factor: 1, per: 1e3 * minute, otherwiseWritten: []string{"l/min"}},
		{name: "m3/s", factor: 1, per: 1, otherwiseWritten: []string{"m³/s", "m^3/s"}},
		{name: "ft3/h", factor: cubicFoot, per: perCubicFt * hour, otherwiseWritten: []string{"cfh"}},
		{name: "ft3/min", factor: cubicFoot, per: perCubicFt * minute, otherwiseWritten: []string{"cfm"}},
	}}
	volume = dimension{"volume", []unit{
		{name: "L", factor: 1, per: 1e3, otherwiseWritten: []string{"l"}},
		{name: "m3", factor: 1, per: 1, otherwiseWritten: []string{"m³", "m^3"}},
		{name: "ft3", factor: cubicFoot, per: perCubicFt, otherwiseWritten: []string{"ft³", "ft^3"}},
	}}
	mass = dimension{"mass", []unit{
		{name: "kg", factor: 1, per: 1},
		{name: "g", factor: 1, per: 1e3},
		{name: "lb", factor: pound, per: perPound},
	}}
	massPerLength = dimension{"mass per length", []unit{
		{name: "g/m", factor: 1, per: 1e3},
		{name: "kg/m", factor: 1, per: 1},
		{name: "lb/ft", factor: pound, per: perPound / perFoot * foot},
	}}
	massFlow = dimension{"mass flow", []unit{
		{name: "kg/h", factor: 1, per: hour},
		{name: "kg/s", factor: 1, per: 1},
		{name: "lb/h", factor: pound, per: perPound * hour},
	}}
	ratio    = dimension{"ratio", []unit{{name: "%", factor: 1, per: 1e2}, {name: "", factor: 1, per: 1}}}
	hydrogen = dimension{"hydrogen content", []unit{{name: "ml/100g", factor: 1, per: 1, otherwiseWritten: []string{"ml/100 g"}}}}
)

// dimensions is what an unknown unit is looked up in, to say what it measures.
var dimensions = []*dimension{
	&voltage, &current, &resistance, &power, &energy, &duration, &rate, &length, &area, &speed, &energyPerLength, &currentPerLength,
	&rotation, &angle, &temperature, &volumeFlow, &volume, &mass, &massPerLength, &massFlow, &ratio, &hydrogen,
}

// find returns the unit that is written so.
func (d *dimension) find(written string) (unit, bool) {
	for _, u := range d.units {
		if u.name == written || slices.Contains(u.otherwiseWritten, written) {
			return u, true
		}
	}
	return unit{}, false
}

// names lists the units in their usual writing.
func (d *dimension) names() []string {
	names := make([]string, 0, len(d.units))
	for _, u := range d.units {
		if u.name != "" {
			names = append(names, u.name)
		}
	}
	return names
}

func (u unit) toSI(written float64) float64 { return (written - u.zero) * u.factor / u.per }

func (u unit) fromSI(value float64) float64 { return value*u.per/u.factor + u.zero }

// dimensionOf returns the dimension of a quantity's type.
func dimensionOf[Q Quantity]() *dimension {
	var zero Q
	switch any(zero).(type) {
	case Volts:
		return &voltage
	case Amperes:
		return &current
	case Ohms:
		return &resistance
	case Watts:
		return &power
	case Joules:
		return &energy
	case Seconds:
		return &duration
	case Hertz:
		return &rate
	case Metres:
		return &length
	case SquareMetres:
		return &area
	case MetresPerSecond:
		return &speed
	case JoulesPerMetre:
		return &energyPerLength
	case AmperesPerMetre:
		return &currentPerLength
	case TurnsPerSecond:
		return &rotation
	case Degrees:
		return &angle
	case Celsius:
		return &temperature
	case CubicMetresPerSecond:
		return &volumeFlow
	case CubicMetres:
		return &volume
	case Kilograms:
		return &mass
	case KilogramsPerMetre:
		return &massPerLength
	case KilogramsPerSecond:
		return &massFlow
	case Ratio:
		return &ratio
	default:
		return &hydrogen
	}
}
