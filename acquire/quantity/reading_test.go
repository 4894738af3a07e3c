package quantity

import (
	"math"
	"math/rand/v2"
	"regexp"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestClean(t *testing.T) {
	for v, want := range map[float64]float64{
		1168 * 0.1: 116.8, -1168 * 0.1: -116.8, 91.94800000000001: 91.948, 0: 0, 1e300: 1e300, 1: 1, 3.8000000000000007: 3.8,
		250.1 - 250: 0.1, 2362.3333333333335: 2362.3333333333335, 123456789012: 123456789012, 0.1 * (1 + 0.9e-13): 0.1,
		0.1 * (1 + 1.2e-13): 0.1 * (1 + 1.2e-13), math.MaxFloat64: math.MaxFloat64, math.Inf(-1): math.Inf(-1),
		123456789.00000001: 123456789, 1234567890.0000002: 1234567890, 1234567891.0000002: 1234567891.0000002,
	} {
		assert.Equal(t, want, Clean(v), "%v", v)
	}
	assert.True(t, math.IsNaN(Clean(math.NaN())))
	assert.False(t, math.Signbit(Clean(math.Copysign(0, -1))))
}

// Whatever units a typed value went through, it comes out as it was typed.
func TestClean_LeavesNoDust(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 5))
	digits := regexp.MustCompile(`^[0-9]{1,5}(\.[0-9]{1,4})?$`)
	for range 20_000 {
		typed := strconv.FormatFloat(random.Float64()*1000, 'f', random.IntN(4), 64)
		v, err := strconv.ParseFloat(typed, 64)
		require.NoError(t, err)
		back := Clean(In(Of[Metres](In(Of[Metres](v, "in"), "mm"), "mm"), "in"))
		assert.Equal(t, v, back)
		scaled := strconv.FormatFloat(Clean(float64(random.IntN(1<<16))*0.1), 'f', -1, 64)
		assert.Regexp(t, digits, scaled)
	}
}

// Whatever two numbers, a sentence that says one above the other prints them unlike.
func TestAgainst(t *testing.T) {
	for _, c := range []struct {
		value, limit float64
		usual        int
		want         [2]string
	}{
		{0.9, 0.87, 2, [2]string{"0.90 V", "0.87 V"}},
		{0.8695, 0.87, 2, [2]string{"0.8695 V", "0.8700 V"}}, // 0.870 with three decimals
		{0.87, 0.87, 2, [2]string{"0.87 V", "0.87 V"}},
		{250.4, 250, 0, [2]string{"250.4 V", "250.0 V"}},
		{0.87000002, 0.87, 2, [2]string{"0.87000002 V", "0.87000000 V"}},
		{0.870000002, 0.87, 2, [2]string{"just above 0.87 V", "0.87 V"}},
		{0.87000000001, 0.87, 2, [2]string{"just above 0.87 V", "0.87 V"}},
		{0.86999999999, 0.87, 2, [2]string{"just below 0.87 V", "0.87 V"}},
		{-0.001, 0, 2, [2]string{"-0.001 V", "0.000 V"}},
		{-0.004, 0.004, 2, [2]string{"-0.004 V", "0.004 V"}}, // "-0.00" and "0.00" are no difference
	} {
		value, limit := TextAgainst(Volts(c.value), Volts(c.limit), "V", c.usual)
		assert.Equal(t, c.want, [2]string{value, limit})
	}
	random := rand.New(rand.NewPCG(6, 6))
	for range 20_000 {
		limit := float64(random.IntN(1000)) / 100
		value := limit + (random.Float64()-0.5)*math.Pow10(-random.IntN(14))
		a, b := TextAgainst(Celsius(value), Celsius(limit), []string{"degC", "degF"}[random.IntN(2)], random.IntN(4))
		if value != limit {
			assert.NotEqual(t, a, b, "%v %v", value, limit)
		}
	}
}

func TestSignificant(t *testing.T) {
	for v, want := range map[float64]string{
		53760744.031: "5.38e+07 s", 5376074.03: "5380000 s", 11.3636: "11.4 s", 9.996: "10.0 s", 0.00235: "0.00235 s", 0: "0 s", 1: "1.00 s",
		-0.5: "-0.500 s", 999.6: "1000 s", 1e-30: "1e-30 s", 0.00001234: "0.0000123 s", math.MaxFloat64: "1.8e+308 s",
	} {
		assert.Equal(t, want, Significant(Seconds(v), "s", 3))
	}
	assert.Equal(t, "1.00", Significant(Ratio(1), "", 3))
}

// Halves go away from zero whatever the arithmetic left beside them, as the pages' own
// rounding has it; what is no half in binary is none.
func TestText_RoundsHalvesAway(t *testing.T) {
	for v, want := range map[float64]string{
		2.25: "2.3 V", -2.25: "-2.3 V", 2.2500000000000004: "2.3 V", 2.2499999999999996: "2.3 V", 2.35: "2.4 V", 0.15: "0.1 V", 2.249: "2.2 V",
	} {
		assert.Equal(t, want, Text(Volts(v), "V", 1), "%v", v)
	}
	assert.Equal(t, "867 V", Text(Volts(866.5), "V", 0))
	assert.Equal(t, "868 V", Text(Volts(867.5), "V", 0))
}

// A speed that was typed in inches a minute is short in metres a minute, too.
func TestText_OfAnotherUnitIsShort(t *testing.T) {
	assert.Equal(t, "55.626 m/min", Text(Of[MetresPerSecond](2190, "in/min"), "m/min", -1))
	random := rand.New(rand.NewPCG(7, 7))
	for range 20_000 {
		typed := float64(random.IntN(100_000)) / 10
		text := Text(Of[MetresPerSecond](typed, "in/min"), "m/min", -1)
		assert.LessOrEqual(t, len(text), len("254.00000 m/min"), "%g in/min", typed)
	}
}

func TestFigure(t *testing.T) {
	for _, c := range []struct {
		v        float64
		decimals int
		want     string
	}{
		{53760744.031, 3, "5.376e+07"},
		{5376074.4, 3, "5376074"},
		{1234.5678, 3, "1234.568"},
		{123456.78, 3, "123456.8"},
		{-0.001, 2, "0.00"},
		{0, 1, "0.0"},
		{-92.345, 2, "-92.34"},
		{0.5, 0, "1"},
		{0.4999, 0, "0"},
		{math.MaxFloat64, 1, "1.798e+308"},
	} {
		assert.Equal(t, c.want, Figure(c.v, c.decimals))
	}
}

func TestLasting(t *testing.T) {
	for v, want := range map[float64]string{
		0: "0.0 s", 1.74: "1.7 s", 59.94: "59.9 s", 59.96: "1.0 min", 60: "1.0 min", 867.1: "14.5 min", 866.9: "14.4 min",
		3596: "59.9 min", 3598: "1 h 00 min", 3600: "1 h 00 min", 7180: "2 h 00 min", 7500: "2 h 05 min", 344_000: "95 h 33 min",
		345_570: "96 h 00 min", 345_600: "4 days", 53760744.031: "622 days", -90: "-90.0 s", -0.01: "0.0 s",
	} {
		assert.Equal(t, want, Lasting(Seconds(v), 1), "%g", v)
	}
	assert.Equal(t, "1.74 s", Lasting(1.74, 2))
}

func TestPlainly(t *testing.T) {
	for v, want := range map[float64]string{
		17.75: "17.75 V", 135: "135 V", 5.5000000000000001: "5.5 V", 1.0 / 3: "0.333333 V", 53760744.031: "53760700 V", 0: "0 V", -1e-9: "-0.000000001 V",
	} {
		assert.Equal(t, want, Plainly(Volts(v), "V"))
	}
	assert.NotContains(t, Plainly(Volts(math.MaxFloat64), "V"), "Inf")
}

func TestTextOutside(t *testing.T) {
	window := Range[JoulesPerMetre]{Low: 0.25e6, High: 0.55e6, HasLow: true, HasHigh: true}
	assert.Equal(t, "0.5502 kJ/mm", TextOutside(0.5502e6, window, "kJ/mm", 3))
	assert.Equal(t, "0.24996 kJ/mm", TextOutside(0.24996e6, window, "kJ/mm", 3))
	assert.Equal(t, "0.640 kJ/mm", TextOutside(0.64e6, window, "kJ/mm", 3))
	assert.Equal(t, "0.64 kJ/mm", PlainlyOutside(0.64e6, window, "kJ/mm"))
	assert.Equal(t, "0.5500001 kJ/mm", PlainlyOutside(0.5500001e6, window, "kJ/mm"))
	assert.Equal(t, "0.123457 kJ/mm", PlainlyOutside(0.1234567e6, window, "kJ/mm"))
}
