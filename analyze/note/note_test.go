package note

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/foreign"
	"arctally/acquire/quantity"
	"arctally/acquire/series"
)

func TestNotesComeBack(t *testing.T) {
	flow := quantity.Of[quantity.CubicMetresPerSecond](15, "L/min")
	for text, n := range map[string]Note{
		`typed in by "Operator 1": temperature 180 degC`: {By: "Operator 1", Temperature: new(quantity.Of[quantity.Celsius](180, "degC"))},
		`typed in by "Operator 1": gas flow 15 L/min`:    {By: "Operator 1", GasFlow: &flow},
		`typed in by "O \"2\": text": text "a: \"b\"\n"`: {By: `O "2": text`, Text: "a: \"b\"\n"},
		`typed in by "Operator 1": end of pass`:          {By: "Operator 1", EndOfPass: true},
		`typed in by "Operator 1": torch at 90 deg`:      {By: "Operator 1", TorchAt: new(quantity.Degrees(90))},
		`typed in by "Operator 1": torch at 0 deg`:       {By: "Operator 1", TorchAt: new(quantity.Degrees(0))},
		`typed in by "Operator 1": torch at 359.99 deg`:  {By: "Operator 1", TorchAt: new(quantity.Degrees(359.99))},
	} {
		n.Epoch, n.Tick = 2, -5
		e := n.Event()
		assert.Equal(t, series.Event{Kind: series.Remark, Epoch: 2, Tick: -5, Until: -5, Count: 1, Text: text}, e)
		back, ok := Parse(e)
		require.True(t, ok, text)
		assert.Equal(t, n, back)
	}
}

func TestOtherRemarksAreNoNotes(t *testing.T) {
	for _, text := range []string{
		"", "the current was assumed", `typed in by "": text "x"`, `typed in by Operator: text "x"`, `typed in by "O"`,
		`typed in by "O": text "x" more`, `typed in by "O": text ""`, `typed in by "O": temperature hot`,
		`typed in by "O": temperature 15 L/min`, `typed in by "O": gas flow`, `typed in by "O": end of pass 2`, `typed in by "O": colour "red"`,
		`typed in by "O": torch at 360 deg`, `typed in by "O": torch at -1 deg`, `typed in by "O": torch at 90`, `typed in by "O": torch at top`,
	} {
		_, ok := Parse(series.Event{Kind: series.Remark, Text: text})
		assert.False(t, ok, text)
	}
	_, ok := Parse(series.Event{Kind: series.Gap, Text: `typed in by "O": text "x"`})
	assert.False(t, ok)
	assert.Panics(t, func() { Note{Text: "x"}.Event() })
	assert.Panics(t, func() { Note{By: "x"}.Event() })
	assert.Panics(t, func() { Note{By: "x", TorchAt: new(quantity.Degrees(360))}.Event() })
	assert.Panics(t, func() { Note{By: "x", TorchAt: new(quantity.Degrees(math.NaN()))}.Event() })
	assert.Equal(t, "gas flow 15 L/min", Note{GasFlow: new(quantity.Of[quantity.CubicMetresPerSecond](15, "L/min"))}.Said())
	assert.Equal(t, "end of pass", Note{EndOfPass: true}.Said())
	assert.Equal(t, "bottle changed", Note{Text: "bottle changed"}.Said())
}

func TestSaidIsRoundedAndKeptExactly(t *testing.T) {
	hot := Note{By: "Operator 1", Temperature: new(quantity.Of[quantity.Celsius](350, "degF"))}
	assert.Equal(t, "temperature 177 degC", hot.Said())
	back, ok := Parse(hot.Event())
	require.True(t, ok)
	assert.InDelta(t, 350, quantity.In(*back.Temperature, "degF"), 1e-9)
	flow := Note{By: "Operator 1", GasFlow: new(quantity.Of[quantity.CubicMetresPerSecond](32, "ft3/h"))}
	assert.Equal(t, "gas flow 15.1 L/min", flow.Said())
	for angle, said := range map[quantity.Degrees]string{90: "torch at 90 deg", 12.34: "torch at 12.3 deg", 0: "torch at 0 deg", 359.97: "torch at 0 deg"} {
		assert.Equal(t, said, Note{TorchAt: &angle}.Said())
	}
}

func FuzzParse(f *testing.F) {
	f.Add(`typed in by "Operator 1": temperature 180 degC`)
	f.Add(`typed in by "O": text "\u00e9"`)
	f.Add(`typed in by "O": end of pass`)
	f.Add(`typed in by "O": torch at 1.5707963 rad`)
	f.Fuzz(func(t *testing.T, text string) {
		n, ok := Parse(series.Event{Kind: series.Remark, Text: text})
		if !ok {
			return
		}
		again, ok := Parse(n.Event())
		require.True(t, ok, text)
		require.Equal(t, n.Event(), again.Event())
	})
}

// A name that is as long as it may be typed is read whole, with the device at which it was; a longer
// one, and a longer text, of a record from before there was a limit, are read cut, and say so.
func TestParse_LongNames(t *testing.T) {
	longest := strings.Repeat("m", foreign.LongestName) + ", at " + strings.Repeat("t", 40) + " (operate)"
	n, ok := Parse(Note{By: longest, Text: "x"}.Event())
	assert.True(t, ok)
	assert.Equal(t, longest, n.By)
	n, ok = Parse(Note{By: strings.Repeat("m", 16_000), Text: strings.Repeat("x", 16_000)}.Event())
	assert.True(t, ok)
	assert.Equal(t, strings.Repeat("m", foreign.LongestSigned)+"... (shortened, 16000 letters in all)", n.By)
	assert.Equal(t, strings.Repeat("x", foreign.LongestRemark)+"... (shortened, 16000 letters in all)", n.Text)
}
