package plausible

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
)

func TestBands_AreWholeAndHaveAReason(t *testing.T) {
	for _, b := range Bands {
		assert.Less(t, b.Low, b.High, b.What)
		assert.Contains(t, b.Usual, " to ", b.What)
		assert.Greater(t, len(b.Why), 10, b.What)
		assert.NotEmpty(t, b.Source, b.What)
	}
}

// What was seen to pass unchallenged, and is not any more.
func TestCheck_WhatPassedBefore(t *testing.T) {
	assert.NotNil(t, doubtOf[quantity.Ratio](t, "check.gain", "0.099"))
	assert.NotNil(t, doubtOf[quantity.Ratio](t, "instruments.voltage.gain", "10"))
	assert.NotNil(t, doubtOf[quantity.Metres](t, "machining.diameter", "9 m"))
	assert.NotNil(t, doubtOf[quantity.Metres](t, "bore.worn_diameter", "9 m"))
	assert.NotNil(t, doubtOf[quantity.Degrees](t, "machining.angle", "361 deg"))
	assert.NotNil(t, doubtOf[quantity.Seconds](t, "judge.dwell", "1000 s"))
	assert.NotNil(t, doubtOf[quantity.Ratio](t, "judge.guard_band", "99"))
	assert.NotNil(t, doubtOf[quantity.Amperes](t, "judge.arc_current", "500 A"))
	assert.NotNil(t, doubtOf[quantity.Volts](t, "limits.voltage", "165 V"))
	assert.NotNil(t, doubtOf[quantity.Volts](t, "limits.voltage", "190 V"))
	assert.NotNil(t, doubtOf[quantity.Celsius](t, "note.temperature", "1800 degC"))
}

func doubtOf[Q quantity.Quantity](t *testing.T, what, text string) *Doubt {
	t.Helper()
	band, known := Find[Q](what)
	require.True(t, known, what)
	q, err := quantity.Parse[Q](text)
	require.NoError(t, err)
	return Check(band, what, q, text)
}

// Every band has its two ends, and nothing beyond them.
func TestCheck_EndsAreUsual(t *testing.T) {
	for _, b := range Bands {
		step := 1e-6 * (b.High - b.Low)
		for value, usual := range map[float64]bool{b.Low: true, b.High: true, (b.Low + b.High) / 2: true, b.Low - step: false, b.High + step: false, math.NaN(): false, math.Inf(1): false} {
			assert.Equal(t, usual, Check(b, b.What, quantity.Ratio(value), "typed") == nil, "%s %g", b.What, value)
		}
	}
	assert.Nil(t, doubtOf[quantity.Metres](t, "bore.worn_diameter", "59.055118110236222 in"), "1500 mm, as the arithmetic of units has it")
}

func TestDoubt_Says(t *testing.T) {
	d := doubtOf[quantity.Metres](t, "bore.worn_diameter", " 9 m ")
	assert.Equal(t, "9 m is outside of what is usual, 20 to 1500 mm: no torch turns in a smaller bore, and no boring bar reaches round a larger one", d.Sentence())
	assert.Equal(t, "bore.worn_diameter 9 m", d.Sure())
	assert.Equal(t, "kept on purpose: bore.worn_diameter 9 m, where 20 to 1500 mm is usual", d.Kept())
	assert.Equal(t, "kept on purpose: bore.worn_diameter 9 m, where 20 to 1500 mm is usual; kept on purpose: x 2, where  is usual", KeptWords([]*Doubt{d, {Field: "x", Value: "2"}}))
	assert.Empty(t, KeptWords(nil))
}

// A point that may part thousands is asked about where both numbers are usual, and only there.
func TestCheck_ThousandsOfAPoint(t *testing.T) {
	assert.Nil(t, doubtOf[quantity.Metres](t, "machining.diameter", "90.020 mm"), "90 m is no bore")
	assert.Nil(t, doubtOf[quantity.Volts](t, "setpoints.voltage", "17.500 V"))
	wide := In[quantity.Metres]("x", 0, 3, "mm", "test")
	assert.Equal(t, "0 to 3000 mm", wide.Usual)
	q, err := quantity.Parse[quantity.Metres]("1.234 mm")
	require.NoError(t, err)
	d := Check(wide, "x", q, "1.234 mm")
	require.NotNil(t, d)
	assert.Equal(t, "its point may part thousands, 1234 mm, and either number is usual here", d.Why)
	assert.Nil(t, Check(wide, "x", q, "1.2340 mm"), "no thousands have four digits")
}

func TestFind_OfItsKindAlone(t *testing.T) {
	_, known := Find[quantity.Volts]("bore.worn_diameter")
	assert.False(t, known)
	_, known = Find[quantity.Metres]("bore.colour")
	assert.False(t, known)
}

func TestSettle(t *testing.T) {
	a, b := &Doubt{Field: "a", Value: "9 m", Usual: "1 to 2", Why: "w"}, &Doubt{Field: "b", Value: "5", Usual: "1 to 2", Why: "v", Place: "job.yaml:3:4"}
	how := func(d *Doubt) string { return "say " + d.Sure() }
	kept, err := Settle([]*Doubt{a, b}, []string{"b 5", "a 9m"}, how)
	require.NoError(t, err)
	assert.Equal(t, []*Doubt{a, b}, kept)

	_, err = Settle([]*Doubt{a, b}, []string{"a 9 m"}, how)
	var unsure *UnsureError
	require.ErrorAs(t, err, &unsure)
	assert.Equal(t, []*Doubt{b}, unsure.Doubts)
	assert.Equal(t, "job.yaml:3:4: b: 5 is outside of what is usual, 1 to 2: v", err.Error())
	assert.Equal(t, "mend it, or say it again on purpose: say b 5", unsure.Hint())

	_, err = Settle([]*Doubt{a}, []string{"a 9 m", "a 8 m"}, how)
	var idle *IdleError
	require.ErrorAs(t, err, &idle)
	require.EqualError(t, err, `"a 8 m" is said again on purpose, and nothing of it is doubted`)
	kept, err = Settle(nil, nil, how)
	require.NoError(t, err)
	assert.Empty(t, kept)
}
