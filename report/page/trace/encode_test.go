package trace

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

func TestJSON(t *testing.T) {
	trace := Trace{
		Window: Window{Epoch: 2, From: 1000, Until: 5000},
		Lines: []Line{
			{Channel: "voltage", Unit: "V", Tick: []int64{1000, 1200, 1400}, Value: []float64{17.5, -0.001, 20}, Breaks: []int{2}, EverySample: true, decimals: 2},
			{Channel: "temperature", Unit: "degC", Resolution: second, Tick: []int64{1500}, Value: []float64{1.0 / 3}, decimals: floating},
			{Channel: "current", Unit: "A"},
		},
		Events: []series.Event{{Kind: series.Gap, Epoch: 2, Tick: 900, Until: 1300, Text: `a "gap"`}},
	}
	got, err := json.Marshal(trace)
	require.NoError(t, err)
	assert.Equal(t, `{"epoch":2,"from_ns":1000,"until_ns":5000,"lines":[`+
		`{"channel":"voltage","unit":"V","every_sample":true,"resolution_ns":0,"at_ns":[0,200,300,400],"value":[17.5,0,null,20]},`+
		`{"channel":"temperature","unit":"degC","every_sample":false,"resolution_ns":1000000000,"at_ns":[500],"value":[0.33333334]},`+
		`{"channel":"current","unit":"A","every_sample":false,"resolution_ns":0,"at_ns":[],"value":[]}],`+
		`"events":[{"kind":"gap","at_ns":-100,"until_ns":300,"text":"a \"gap\""}]}`, string(got))
}

// TestDecimals: neighbouring codes stay apart, and no value is off by more than
// half of what a code is worth.
func TestDecimals(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	for range 2000 {
		step := math.Exp(r.NormFloat64() * 6)
		decimals, code := decimalsOf(-step), r.IntN(65536)-32768
		a, b := string(appendValue(nil, float64(code)*step, decimals)), string(appendValue(nil, float64(code+1)*step, decimals))
		require.NotEqual(t, a, b)
		read, err := strconv.ParseFloat(a, 64)
		require.NoError(t, err)
		require.LessOrEqual(t, math.Abs(read-float64(code)*step), step*0.501)
	}
	assert.Equal(t, 2, decimalsOf(0.01))
	assert.Equal(t, 1, decimalsOf(0.1))
	assert.Equal(t, 3, decimalsOf(0.0025))
	assert.Equal(t, 0, decimalsOf(250))
	assert.Equal(t, "1300", string(appendValue(nil, 1300, 0)))
	assert.Equal(t, "1e+300", string(appendValue(nil, 1e300, floating)))
	assert.Equal(t, "0", string(appendValue(nil, -1e-9, 2)))
}
