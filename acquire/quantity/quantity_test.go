package quantity

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestUnits_PrintAndParseBack(t *testing.T) {
	for name, property := range map[string]func(*testing.T){
		"Volts": printsAndParses[Volts], "Amperes": printsAndParses[Amperes], "Watts": printsAndParses[Watts],
		"Joules": printsAndParses[Joules], "Ohms": printsAndParses[Ohms], "Seconds": printsAndParses[Seconds], "Hertz": printsAndParses[Hertz],
		"Metres": printsAndParses[Metres], "SquareMetres": printsAndParses[SquareMetres],
		"MetresPerSecond": printsAndParses[MetresPerSecond], "JoulesPerMetre": printsAndParses[JoulesPerMetre],
		"AmperesPerMetre": printsAndParses[AmperesPerMetre],
		"TurnsPerSecond":  printsAndParses[TurnsPerSecond], "Degrees": printsAndParses[Degrees],
		"Celsius": printsAndParses[Celsius], "CubicMetresPerSecond": printsAndParses[CubicMetresPerSecond],
		"CubicMetres": printsAndParses[CubicMetres],
		"Kilograms":   printsAndParses[Kilograms], "KilogramsPerMetre": printsAndParses[KilogramsPerMetre],
		"KilogramsPerSecond": printsAndParses[KilogramsPerSecond], "Ratio": printsAndParses[Ratio],
		"Hydrogen": printsAndParses[Hydrogen],
	} {
		t.Run(name, property)
	}
}

// lastBits is how far a quantity may be from the one that was printed: two
// roundings of a float64, in a scale whose zero lies up to 500 away.
const lastBits = 4 * 0x1p-52

// printsAndParses shows, for every unit and writing of it, that a quantity
// printed in full is read back, and that a text with few decimals is read and
// printed as the same text.
func printsAndParses[Q Quantity](t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	for _, u := range dimensionOf[Q]().units {
		for range 300 {
			written := random.NormFloat64() * math.Pow(10, float64(random.IntN(9)-3))
			q := Of[Q](written, u.name)
			back, err := Parse[Q](Text(q, u.name, -1))
			require.NoError(t, err)
			assert.InDelta(t, float64(q), float64(back), lastBits*(math.Abs(float64(q))+u.zero), u.name)

			decimals := random.IntN(5)
			text := Text(q, u.name, decimals)
			again, err := Parse[Q](text)
			require.NoError(t, err)
			assert.Equal(t, text, Text(again, u.name, decimals))
		}
		for _, other := range u.otherwiseWritten {
			assert.Equal(t, Of[Q](2.5, u.name), must(Parse[Q]("2.5 "+other)), other)
		}
	}
}

func must[Q Quantity](q Q, err error) Q {
	if err != nil {
		panic(err)
	}
	return q
}

// TestParse_Values holds figures that follow from the definitions of the units.
func TestParse_Values(t *testing.T) {
	for _, c := range []struct {
		text      string
		got, want float64
	}{
		{"17.5 V", float64(must(Parse[Volts]("17.5 V"))), 17.5},
		{"17.5V", float64(must(Parse[Volts]("17.5V"))), 17.5},
		{"  -250  mV ", float64(must(Parse[Volts]("  -250  mV "))), -0.25},
		{"1.2e3 A", float64(must(Parse[Amperes]("1.2e3 A"))), 1200},
		{"12e+2A", float64(must(Parse[Amperes]("12e+2A"))), 1200},
		{"12000E-01 A", float64(must(Parse[Amperes]("12000E-01 A"))), 1200},
		{"17,5 V", float64(must(Parse[Volts]("17,5 V"))), 17.5},
		{"-,5 V", float64(must(Parse[Volts]("-,5 V"))), -0.5},
		{"1,2e3 A", float64(must(Parse[Amperes]("1,2e3 A"))), 1200},
		{"0,125 A: no thousands begin with 0", float64(must(Parse[Amperes]("0,125 A"))), 0.125},
		{"1234,567 A: more than three digits stand before it", float64(must(Parse[Amperes]("1234,567 A"))), 1234.567},
		{"1,2345 A", float64(must(Parse[Amperes]("1,2345 A"))), 1.2345},
		{"90.020 mm: a point is always the decimal point", float64(must(Parse[Metres]("90.020 mm"))), 0.09002},
		{"3 5/8 in", float64(must(Parse[Metres]("3 5/8 in"))), 3.625 * 0.0254},
		{"3-5/8in", float64(must(Parse[Metres]("3-5/8in"))), 3.625 * 0.0254},
		{"5/8 in", float64(must(Parse[Metres]("5/8 in"))), 0.625 * 0.0254},
		{"0 63/64 in", float64(must(Parse[Metres]("0 63/64 in"))), 63.0 / 64 * 0.0254},
		{".035 in", float64(must(Parse[Metres](".035 in"))), 0.000889},
		{"250 in/min", float64(must(Parse[MetresPerSecond]("250 in/min"))), 6.35 / 60},
		{"250 ipm", float64(must(Parse[MetresPerSecond]("250 ipm"))), 6.35 / 60},
		{"1 in2", float64(must(Parse[SquareMetres]("1 in2"))), 645.16e-6},
		{"1 ft", float64(must(Parse[Metres]("1 ft"))), 0.3048},
		{"1 lb", float64(must(Parse[Kilograms]("1 lb"))), 0.45359237},
		{"1 lb/ft", float64(must(Parse[KilogramsPerMetre]("1 lb/ft"))), 0.45359237 / 0.3048},
		{"1 kJ/mm", float64(must(Parse[JoulesPerMetre]("1 kJ/mm"))), 1e6},
		{"1 A/mm", float64(must(Parse[AmperesPerMetre]("1 A/mm"))), 1e3},
		{"90 rpm", float64(must(Parse[TurnsPerSecond]("90 rpm"))), 1.5},
		{"5 1/s", float64(must(Parse[TurnsPerSecond]("5 1/s"))), 5},
		{"180 deg/s", float64(must(Parse[TurnsPerSecond]("180 deg/s"))), 0.5},
		{"50 kHz", float64(must(Parse[Hertz]("50 kHz"))), 50e3},
		{"480 degF", float64(must(Parse[Celsius]("480 degF"))), 448.0 * 5 / 9},
		{"-40 degF", float64(must(Parse[Celsius]("-40 degF"))), -40},
		{"273.15 K", float64(must(Parse[Celsius]("273.15 K"))), 0},
		{"15 L/min", float64(must(Parse[CubicMetresPerSecond]("15 L/min"))), 0.00025},
		{"1 ft3", float64(must(Parse[CubicMetres]("1 ft3"))), 0.028316846592},
		{"60 cfh", float64(must(Parse[CubicMetresPerSecond]("60 cfh"))), 0.028316846592 / 60},
		{"1 ft3/min", float64(must(Parse[CubicMetresPerSecond]("1 ft3/min"))), 0.028316846592 / 60},
		{"0.95", float64(must(Parse[Ratio]("0.95"))), 0.95},
		{"95 %", float64(must(Parse[Ratio]("95 %"))), 0.95},
		{"95%", float64(must(Parse[Ratio]("95%"))), 0.95},
		{"5 ml/100g", float64(must(Parse[Hydrogen]("5 ml/100g"))), 5},
	} {
		assert.InDelta(t, c.want, c.got, 1e-15*math.Max(1, math.Abs(c.want)), c.text)
	}
}

func TestParse_MinusNothingIsNothing(t *testing.T) {
	assert.False(t, math.Signbit(float64(must(Parse[Volts]("-0 V")))))
	assert.Equal(t, "0.0 V", Text(Volts(-0.01), "V", 1))
	assert.Equal(t, "-0.1 V", Text(Volts(-0.06), "V", 1))
}

func TestParse_Errors(t *testing.T) {
	const volts = "V, mV or kV"
	for text, reason := range map[string]string{
		"":             "no number; write a number and its unit, " + volts,
		"V":            "no number; write a number and its unit, " + volts,
		"NaN V":        "no number; write a number and its unit, " + volts,
		"Inf V":        "no number; write a number and its unit, " + volts,
		"+ V":          "no number; write a number and its unit, " + volts,
		"0x10 V":       `"x10 V" is not a unit of voltage; write ` + volts,
		"1_000 V":      `"_000 V" is not a unit of voltage; write ` + volts,
		"1,234 V":      "1,234 may be 1.234 or 1234; write the one that is meant",
		"-12,345e1 V":  "-12,345e1 may be -12.345e1 or -12345e1; write the one that is meant",
		"1,234.5 V":    "1,234.5: digits are not grouped here; write the number with one decimal point and nothing else between its digits",
		"1.234,5 V":    "1.234,5: digits are not grouped here; write the number with one decimal point and nothing else between its digits",
		"1.234.567 V":  "1.234.567: digits are not grouped here; write the number with one decimal point and nothing else between its digits",
		"10,1, V":      `", V" is not a unit of voltage; write ` + volts,
		"5/8 V":        "5/8: a fraction is read of inches alone; write it in in, or as a decimal number",
		"17.5":         "no unit; write " + volts,
		"17.5 A":       "A is a unit of current, not of voltage; write " + volts,
		"17.5 v":       `"v" is not a unit of voltage; write ` + volts,
		"17.5 V or so": `"V or so" is not a unit of voltage; write ` + volts,
		"12..15 V":     `"..15 V" is not a unit of voltage; write ` + volts,
		"5e":           `"e" is not a unit of voltage; write ` + volts,
		"5e-":          `"e-" is not a unit of voltage; write ` + volts,
		"5eV":          `"eV" is not a unit of voltage; write ` + volts,
		"1e999 V":      "number is too large",
		"1e308 kV":     "number is too large",
	} {
		_, err := Parse[Volts](text)
		var e *Error
		require.ErrorAs(t, err, &e, text)
		assert.Equal(t, Error{text, reason, []string{"V", "mV", "kV"}}, *e)
		assert.Equal(t, fmt.Sprintf("%q: %s", text, reason), e.Error())
	}
}

// TestUnits_ByDefinition holds every unit against its definition: what 1 of it is
// in the SI unit. The temperatures have a zero of their own besides.
func TestUnits_ByDefinition(t *testing.T) {
	const (
		in, ft, lb = 0.0254, 0.3048, 0.45359237 // m, m, kg
		minute, h  = 60.0, 3600.0               // s
	)
	want := map[string]map[string]float64{
		"voltage":            {"V": 1, "mV": 1e-3, "kV": 1e3},
		"current":            {"A": 1, "mA": 1e-3, "kA": 1e3},
		"resistance":         {"mohm": 1e-3, "ohm": 1, "uohm": 1e-6},
		"power":              {"W": 1, "kW": 1e3},
		"energy":             {"J": 1, "kJ": 1e3},
		"time":               {"s": 1, "ms": 1e-3, "us": 1e-6, "min": minute, "h": h},
		"rate":               {"Hz": 1, "kHz": 1e3, "MHz": 1e6, "/s": 1},
		"length":             {"mm": 1e-3, "m": 1, "cm": 1e-2, "um": 1e-6, "in": in, "ft": ft},
		"area":               {"mm2": 1e-6, "cm2": 1e-4, "m2": 1, "in2": in * in},
		"speed":              {"mm/min": 1e-3 / minute, "m/min": 1 / minute, "m/s": 1, "mm/s": 1e-3, "cm/min": 1e-2 / minute, "in/min": in / minute},
		"energy per length":  {"kJ/mm": 1e6, "J/mm": 1e3, "J/m": 1, "kJ/cm": 1e5, "kJ/in": 1e3 / in, "J/in": 1 / in},
		"current per length": {"A/mm": 1e3, "A/m": 1, "A/in": 1 / in},
		"rotation":           {"rpm": 1 / minute, "1/s": 1, "deg/s": 1.0 / 360},
		"angle":              {"deg": 1, "rad": 180 / math.Pi},
		"temperature":        {"degC": 1, "degF": 5.0 / 9, "K": 1},
		"volume flow":        {"L/min": 1e-3 / minute, "m3/s": 1, "ft3/h": ft * ft * ft / h, "ft3/min": ft * ft * ft / minute},
		"volume":             {"L": 1e-3, "m3": 1, "ft3": ft * ft * ft},
		"mass":               {"kg": 1, "g": 1e-3, "lb": lb},
		"mass per length":    {"g/m": 1e-3, "kg/m": 1, "lb/ft": lb / ft},
		"mass flow":          {"kg/h": 1 / h, "kg/s": 1, "lb/h": lb / h},
		"ratio":              {"%": 0.01, "": 1},
		"hydrogen content":   {"ml/100g": 1},
	}
	require.Len(t, dimensions, len(want))
	for _, d := range dimensions {
		require.Len(t, d.units, len(want[d.name]), d.name)
		for _, u := range d.units {
			require.Contains(t, want[d.name], u.name)
			one := u.toSI(1) - u.toSI(0)
			assert.InEpsilon(t, want[d.name][u.name], one, 1e-12, "1 %s", u.name)
			assert.InEpsilon(t, 1/want[d.name][u.name], u.fromSI(1)-u.fromSI(0), 1e-12, "in %s", u.name)
		}
	}
}

func TestSeconds_InNanoseconds(t *testing.T) {
	assert.Equal(t, Seconds(1.5), SecondsOf(1_500_000_000))
	assert.Equal(t, int64(-1_500_000_000), Seconds(-1.5).Nanoseconds())
	assert.Equal(t, int64(3), Seconds(2.6e-9).Nanoseconds())
	assert.Equal(t, int64(-3), Seconds(-2.6e-9).Nanoseconds())
}

func TestText_FewestDigits(t *testing.T) {
	// 0.9 cm/min comes out as 0.9000000000000001, and is written as it was.
	assert.Equal(t, "0.9 cm/min", Text(must(Parse[MetresPerSecond]("0.9 cm/min")), "cm/min", -1))
	// This one takes 16 digits, where 17 would say no more.
	assert.Equal(t, 0.011081947990084572, In(MetresPerSecond(4.691357982469135e-06), "in/min"))
	assert.Equal(t, "0.01108194799008457 in/min", Text(MetresPerSecond(4.691357982469135e-06), "in/min", -1))
	assert.Equal(t, "360 mm/min", Text(must(Parse[MetresPerSecond]("360 mm/min")), "mm/min", -1))
	assert.Equal(t, "250 in/min", Text(must(Parse[MetresPerSecond]("250 ipm")), "in/min", -1))
	assert.Equal(t, "17.5 V", Text(Volts(17.5), "V", -1))
	assert.Equal(t, "0.95", Text(Ratio(0.95), "", -1))
	assert.Equal(t, "95.0 %", Text(Ratio(0.95), "%", 1))
}

func TestIn_PanicsOnAnotherDimension(t *testing.T) {
	assert.PanicsWithValue(t, "quantity: V is a unit of voltage, not of current; write A, mA or kA", func() { In(Amperes(1), "V") })
	assert.PanicsWithValue(t, "quantity: no unit; write V, mV or kV", func() { Of[Volts](1, "") })
}

func TestUnits_OfARatioNeedNoUnit(t *testing.T) {
	assert.Equal(t, []string{"%"}, Units[Ratio]())
	assert.Equal(t, []string{"degC", "degF", "K"}, Units[Celsius]())
}

func FuzzParse(f *testing.F) {
	for _, seed := range []string{"17.5 V", "-1e3 kV", ".5mV", "16.5..19.0 V", "..5 V", "5.. V", "", "1e400 V", "480 degF", "95 %", "17,5 V", "1,234 V", "1.234,5 V", "16,5..19,0 V", "3 5/8 in", "3-5/8..4 1/2 in"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		parseOrExplain[Volts](t, text)
		parseOrExplain[Celsius](t, text)
		parseOrExplain[Ratio](t, text)
		parseOrExplain[MetresPerSecond](t, text)
		parseOrExplain[Metres](t, text)
	})
}

// parseOrExplain shows that a text is a finite quantity that prints and parses
// back, or a typed error; as a window likewise.
func parseOrExplain[Q Quantity](t *testing.T, text string) {
	var e *Error
	if q, err := Parse[Q](text); err != nil {
		require.ErrorAs(t, err, &e)
	} else {
		require.False(t, math.IsInf(float64(q), 0) || math.IsNaN(float64(q)))
	}
	r, err := ParseRange[Q](text)
	if err != nil {
		require.ErrorAs(t, err, &e)
		return
	}
	require.False(t, r.IsZero())
	require.False(t, r.HasLow && r.HasHigh && r.Low > r.High)
}
