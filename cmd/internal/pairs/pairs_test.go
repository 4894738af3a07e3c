package pairs

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/plausible"
	"arctally/cmd/internal/explain"
)

var gauge = Keys{
	Command: "check", Subject: "wire-speed", Needs: []string{"length"}, Takes: []string{"time", "count"}, Many: []string{"station"}, Common: []string{"by"},
}

func TestKeys_Read(t *testing.T) {
	in, err := gauge.Read([]string{"length= 100 mm, 20cm ", "station=a=b", "by=Fitter", "station=c", "count=3"})
	require.NoError(t, err)
	metres := ReadIn[quantity.Metres]("m")
	assert.Equal(t, []float64{0.1, 0.2}, in.List("length", metres))
	assert.Nil(t, in.List("time", metres), "it was left out")
	assert.Equal(t, []string{"a=b", "c"}, in.Lists["station"])
	assert.Equal(t, "Fitter", in.Text("by"))
	assert.True(t, in.Has("by"))
	assert.Equal(t, 3, in.Number("count"))
	assert.Zero(t, in.Number("time"))
	assert.InDelta(t, 7, in.One("time", ReadIn[quantity.Seconds]("s"), 7), 0)
	assert.NoError(t, in.Wrong)
	assert.Equal(t, "length= [time=] [count=] [station=...]", gauge.Usage())
}

func TestKeys_Refused(t *testing.T) {
	const keys = "it takes length= [time=] [count=] [station=...]"
	for _, test := range []struct {
		pairs []string
		says  string
	}{
		{[]string{"length"}, `"length" is not key=value; wire-speed takes length= [time=] [count=] [station=...]`},
		{[]string{"width=1mm"}, `wire-speed has no key "width"; ` + keys},
		{[]string{"length=1mm", "length=2mm"}, "length stands twice"},
		{[]string{"length= "}, "length has no value"},
		{[]string{"by=x"}, "wire-speed needs length=; " + keys},
	} {
		_, err := gauge.Read(test.pairs)
		require.EqualError(t, err, test.says)
		assert.Equal(t, "arctally check --help", explain.Of(err).Hint)
	}
}

// TestInput_KeepsTheFirst: what is wrong first is told.
func TestInput_KeepsTheFirst(t *testing.T) {
	seconds := ReadIn[quantity.Seconds]("s")
	for key, says := range map[string]string{"time": `time: "0 s": it must be above zero`, "count": `count: "0" is no number from 1 on`, "length": "length: "} {
		in := &Input{Command: "check", Subject: "wire-speed", Values: map[string]string{"time": "0 s", "count": "0", "length": "tall"}}
		switch key {
		case "time":
			in.One(key, seconds, 1)
		case "count":
			in.Number(key)
		default:
			in.List(key, seconds)
		}
		require.ErrorContains(t, in.Wrong, says)
		in.Number("count")
		in.One("time", seconds, 1)
		assert.ErrorContains(t, in.Wrong, says)
	}
}

// TestInput_Doubts: what is unusual is refused until it is said again, by its name and value.
func TestInput_Doubts(t *testing.T) {
	read := func(pairs ...string) (*Input, error) {
		in, err := gauge.Read(pairs)
		require.NoError(t, err)
		in.List("length", ReadIn[quantity.Metres]("m"))
		return in, in.Ready()
	}
	_, err := read("length=2 m; 200 m")
	require.EqualError(t, err, "length: 200 m is outside of what is usual, 0.05 to 50 m: what runs out of a feeder in a minute or two")
	assert.Equal(t, `mend it, or say it again on purpose: sure="length 200 m"`, explain.Of(err).Hint)
	_, err = read("length=2 m; 200 m", "sure=length 201 m")
	require.Error(t, err, "another value")
	in, err := read("length=2 m; 200 m", "sure=length 200m")
	require.NoError(t, err)
	kept, err := in.Settle()
	require.NoError(t, err)
	require.Len(t, kept, 1)
	assert.Equal(t, "kept on purpose: length 200 m, where 0.05 to 50 m is usual", kept[0].Kept())

	in, err = read("length=2 m", "sure=length 2 m")
	require.NoError(t, err, "it may yet be needed")
	_, err = in.Settle()
	require.EqualError(t, err, `"length 2 m" is said again on purpose, and nothing of it is doubted`)
	_, err = read("length=2,5 m; 1.234 m")
	require.ErrorContains(t, err, "decimal commas and decimal points are mixed")
}

// TestInput_OneHabit: the figures of one form are written in one way.
func TestInput_OneHabit(t *testing.T) {
	in, err := gauge.Read([]string{"length=2,5 m;", "time=1.234 s"})
	require.NoError(t, err)
	in.List("length", ReadIn[quantity.Metres]("m"))
	in.One("time", ReadIn[quantity.Seconds]("s"), 1)
	require.EqualError(t, in.Ready(), `the figures: "1.234 s": beside numbers with a decimal comma it may be 1.234 or 1234; write all numbers in one way`)
}

func TestQuantityAndWindow(t *testing.T) {
	in := &Input{Command: "inspect", Subject: "machining"}
	band := plausible.In[quantity.Metres]("machining.diameter", 0.08, 0.1, "mm", "the job has a bore of 90 mm")
	assert.Equal(t, quantity.Metres(0.0905), Quantity[quantity.Metres](in, "station 1 diameter", "90,5 mm", band))
	require.NoError(t, in.Ready())
	Window[quantity.Metres](in, "wanted", "90..90,5 mm", band)
	require.NoError(t, in.Ready())
	Quantity[quantity.Metres](in, "station 2 diameter", "905 mm", band)
	Window[quantity.Metres](in, "wanted", "9..9,5 mm", band)
	err := in.Ready()
	require.ErrorContains(t, err, "station 2 diameter: 905 mm is outside of what is usual, 80 to 100 mm: the job has a bore of 90 mm\nwanted: 9..9,5 mm")
	Quantity[quantity.Metres](in, "station 3 diameter", "wide", band)
	require.ErrorContains(t, in.Ready(), "station 3 diameter: ", "what cannot be read comes first")
}
