package quantity

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestParseRange(t *testing.T) {
	both := func(low, high Volts) Range[Volts] {
		return Range[Volts]{Low: low, High: high, HasLow: true, HasHigh: true}
	}
	for text, want := range map[string]Range[Volts]{
		"16.5..19.0 V":     both(16.5, 19),
		"16.5 .. 19.0V":    both(16.5, 19),
		"-2..-1 V":         both(-2, -1),
		".5..1.5 V":        both(0.5, 1.5),
		"17..17 V":         both(17, 17),
		"1500..2500 mV":    both(1.5, 2.5),
		"..19 V":           {High: 19, HasHigh: true},
		"...5 V":           {High: 0.5, HasHigh: true},
		"12.. V":           {Low: 12, HasLow: true},
		"  12..    V     ": {Low: 12, HasLow: true},
	} {
		r, err := ParseRange[Volts](text)
		require.NoError(t, err, text)
		assert.Equal(t, want, r, text)
	}
}

func TestParseRange_ConvertsEachLimitOfAScaleWithItsOwnZero(t *testing.T) {
	r, err := ParseRange[Celsius]("50..482 degF")
	require.NoError(t, err)
	assert.InDelta(t, 10, float64(r.Low), 1e-12)
	assert.InDelta(t, 250, float64(r.High), 1e-12)
	open, err := ParseRange[Celsius]("..482 degF")
	require.NoError(t, err)
	assert.Equal(t, Range[Celsius]{High: r.High, HasHigh: true}, open)
}

func TestParseRange_Errors(t *testing.T) {
	const how = "write low..high, low.. or ..high and the unit, V, mV or kV"
	for text, reason := range map[string]string{
		"":           "not a window; " + how,
		"17 V":       "not a window; " + how,
		"17-19 V":    "not a window; " + how,
		"a..b V":     "not a window; " + how,
		"16 V..19 V": "not a window; " + how,
		"..":         "window has no limit; " + how,
		".. V":       "window has no limit; " + how,
		"19..16 V":   "limits are reversed; write the lower one first",
		"16..19":     "no unit; write V, mV or kV",
		"16..19 A":   "A is a unit of current, not of voltage; write V, mV or kV",
		"16..19..20": `"..20" is not a unit of voltage; write V, mV or kV`,
		"1e999.. V":  "number is too large",
		"..1e999 V":  "number is too large",
	} {
		_, err := ParseRange[Volts](text)
		var e *Error
		require.ErrorAs(t, err, &e, text)
		assert.Equal(t, reason, e.Reason, text)
	}
}

func TestTextRange(t *testing.T) {
	for _, text := range []string{"16.5..19.0 V", "..19.0 V", "12.0.. V", "-2.0..-1.0 V"} {
		r, err := ParseRange[Volts](text)
		require.NoError(t, err)
		assert.Equal(t, text, TextRange(r, "V", 1))
	}
	assert.Empty(t, TextRange(Range[Volts]{}, "V", 1))
}

func TestRange_Beyond(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	r := Range[Volts]{Low: -1, High: 1, HasLow: true, HasHigh: true}
	for range 200 {
		q := Volts(random.NormFloat64() * 2)
		beyond := r.Beyond(q)
		assert.Equal(t, q >= r.Low && q <= r.High, beyond == 0)
		assert.InDelta(t, 0, float64(r.Beyond(q-beyond)), 1e-15)
	}
	assert.Zero(t, Range[Volts]{}.Beyond(1e9))
	assert.Equal(t, Volts(-2), r.Beyond(-3))
	assert.Equal(t, Volts(2), r.Beyond(3))
}
