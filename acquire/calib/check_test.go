package calib

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// outcome returns a number of a check, and its uncertainty.
func outcome(t *testing.T, c *Check, name string) (value, u float64) {
	t.Helper()
	for _, o := range c.Outcomes {
		if o.Name == name {
			if o.U != nil {
				u = *o.U
				require.Positive(t, u, name)
			}
			return o.Value, u
		}
	}
	require.Fail(t, "no outcome", name)
	return 0, 0
}

// wants holds an outcome against figures that were worked out by hand.
func wants(t *testing.T, c *Check, name string, value, u float64) {
	t.Helper()
	got, gotU := outcome(t, c, name)
	assert.InDelta(t, value, got, 1e-6*max(1, math.Abs(value)), name)
	assert.InDelta(t, u, gotU, 1e-5*max(1, u), "u of "+name)
}

func TestCheck_refusesFigures(t *testing.T) {
	type check interface{ Check() (*Check, error) }
	two := []float64{1, 2}
	for name, given := range map[string]struct {
		check check
		kind  Kind
	}{
		"one point":         {Meter{Reading: two[:1], Reference: two[:1]}, TooFew},
		"unpaired":          {Meter{Reading: two, Reference: two[:1]}, Unpaired},
		"points too close":  {Meter{Reading: []float64{17, 18}, Reference: []float64{17, 18}}, TooClose},
		"one reading":       {Meter{Reading: []float64{17, 17}, Reference: two}, TooClose},
		"nothing read":      {Meter{Reading: []float64{0, 0}, Reference: two}, TooClose},
		"no gain":           {Meter{Reading: two, Reference: []float64{3, 3}}, NegativeGain},
		"negative gain":     {Meter{Reading: two, Reference: []float64{2, 1}}, NegativeGain},
		"no line":           {Meter{Reading: []float64{1, 2, 3}, Reference: []float64{1, 9, 4}}, Scattered},
		"two zeros":         {Zero{Readings: two}, TooFew},
		"times missing":     {Zero{Readings: []float64{0, 0, 0}, Seconds: two}, Unpaired},
		"arc still on":      {Zero{Readings: []float64{60, 60, 60}, At: 17.5}, NotAtZero},
		"no wire":           {WireRun{}, TooFew},
		"wire unpaired":     {WireRun{Length: two, Time: two[:1]}, Unpaired},
		"no time":           {WireRun{Length: []float64{1}, Time: []float64{0}, Wanted: 1}, Impossible},
		"nothing wanted":    {WireRun{Length: []float64{1}, Time: []float64{1}}, Impossible},
		"reading in m/min":  {WireRun{Length: []float64{2}, Time: []float64{20}, Reading: []float64{5.5}, Wanted: 0.005}, Impossible},
		"no turn":           {TimedTurn{}, TooFew},
		"turns unpaired":    {TimedTurn{Turns: two, Time: two[:1]}, Unpaired},
		"turned back":       {TimedTurn{Turns: []float64{-1}, Time: []float64{48}}, Impossible},
		"three angles":      {Centring{Angle: []float64{0, 120, 240}, Distance: []float64{1, 1, 1}}, TooFew},
		"one angle often":   {Centring{Angle: []float64{0, 360, 720, 120, 240}, Distance: []float64{1, 1, 1, 1, 1}}, TooFew},
		"half a turn":       {Centring{Angle: []float64{0, 60, 120, 180}, Distance: []float64{1, 1, 1, 1}}, TooClose},
		"121 deg":           {Centring{Angle: []float64{0, 60, 120, 241, 300}, Distance: []float64{1, 1, 1, 1, 1}}, TooClose},
		"121 deg over zero": {Centring{Angle: []float64{61, 120, 180, 300}, Distance: []float64{1, 1, 1, 1}}, TooClose},
		"angles unpaired":   {Centring{Angle: two, Distance: two[:1]}, Unpaired},
		"distance negative": {Centring{Angle: []float64{0, 90, 180, 270}, Distance: []float64{1, 1, -1, 1}}, Impossible},
	} {
		t.Run(name, func(t *testing.T) {
			c, err := given.check.Check()
			require.Nil(t, c)
			var refused *Error
			require.ErrorAs(t, err, &refused)
			require.Equal(t, given.kind, refused.Kind, err)
			require.NotEmpty(t, refused.Hint())
		})
	}
}

func TestCheck_comesBackFromItsText(t *testing.T) {
	c, err := Meter{Channel: "voltage", Unit: "V", Reading: []float64{10, 20}, Reference: []float64{10, 20}}.Check()
	require.NoError(t, err)
	c.Done, c.By, c.Instrument = time.Date(2026, 5, 4, 7, 40, 0, 0, time.UTC), "Operator 1", "meter 3"
	text, err := c.Encode()
	require.NoError(t, err)
	back, err := DecodeCheck(text)
	require.NoError(t, err)
	require.Equal(t, c, back)
	for subject, title := range map[Subject]string{
		ZeroCheck: "zero of voltage", MeterCheck: "meter of voltage",
		WireCheck: "wire speed", RotationCheck: "rotation", CentringCheck: "centring",
	} {
		back.Subject = subject
		require.Equal(t, title, back.Title())
	}
	_, err = DecodeCheck("no JSON")
	require.ErrorContains(t, err, "check: ")
}

// A check of a record that says one thing twice says neither.
func TestDecodeCheck_SaysEachOnce(t *testing.T) {
	_, err := DecodeCheck(`{"check":"meter","by":"Operator 1","By":"somebody else"}`)
	require.ErrorContains(t, err, `the key "By" stands twice`)
}
