package pairs

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/cmd/internal/explain"
)

var gauge = Keys{
	Command: "check", Subject: "a gauge", Needs: []string{"length"}, Takes: []string{"every", "count"}, Many: []string{"station"}, Common: []string{"by"},
}

func TestKeys_Read(t *testing.T) {
	in, err := gauge.Read([]string{"length= 10 mm, 2cm ", "station=a=b", "by=Fitter", "station=c", "count=3"})
	require.NoError(t, err)
	metres := ReadIn[quantity.Metres]("m")
	assert.Equal(t, []float64{0.01, 0.02}, in.List("length", metres))
	assert.Nil(t, in.List("every", metres), "it was left out")
	assert.Equal(t, []string{"a=b", "c"}, in.Lists["station"])
	assert.Equal(t, "Fitter", in.Text("by"))
	assert.True(t, in.Has("by"))
	assert.Equal(t, 3, in.Number("count"))
	assert.Zero(t, in.Number("every"))
	assert.InDelta(t, 7, in.One("every", ReadIn[quantity.Seconds]("s"), 7), 0)
	assert.NoError(t, in.Wrong)
	assert.Equal(t, "length= [every=] [count=] [station=...]", gauge.Usage())
}

func TestKeys_Refused(t *testing.T) {
	const keys = "it takes length= [every=] [count=] [station=...]"
	for _, test := range []struct {
		pairs []string
		says  string
	}{
		{[]string{"length"}, `"length" is not key=value; a gauge takes length= [every=] [count=] [station=...]`},
		{[]string{"width=1mm"}, `a gauge has no key "width"; ` + keys},
		{[]string{"length=1mm", "length=2mm"}, "length stands twice"},
		{[]string{"length= "}, "length has no value"},
		{[]string{"by=x"}, "a gauge needs length=; " + keys},
	} {
		_, err := gauge.Read(test.pairs)
		require.EqualError(t, err, test.says)
		assert.Equal(t, "arctally check --help", explain.Of(err).Hint)
	}
}

// TestInput_KeepsTheFirst: what is wrong first is told.
func TestInput_KeepsTheFirst(t *testing.T) {
	seconds := ReadIn[quantity.Seconds]("s")
	for key, says := range map[string]string{"every": `every: "0 s": it must be above zero`, "count": `count: "0" is no number from 1 on`, "length": "length: "} {
		in := &Input{Command: "check", Values: map[string]string{"every": "0 s", "count": "0", "length": "tall"}}
		switch key {
		case "every":
			in.One(key, seconds, 1)
		case "count":
			in.Number(key)
		default:
			in.List(key, seconds)
		}
		require.ErrorContains(t, in.Wrong, says)
		in.Number("count")
		in.One("every", seconds, 1)
		assert.ErrorContains(t, in.Wrong, says)
	}
}
