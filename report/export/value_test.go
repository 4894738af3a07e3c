package export

import (
	"bytes"
	"math"
	"math/rand/v2"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/calib"
	"arctally/acquire/series"
)

func TestValueOf(t *testing.T) {
	for _, c := range []struct {
		line       calib.Line
		code, want float64
	}{
		{calib.Line{Scale: 0.1}, 1168, 116.8},
		{calib.Line{Scale: 0.1, Offset: -204.8}, 2049, 0.1},
		{calib.Line{Scale: 0.1, Offset: -204.8}, 2048, 0},
		{calib.Line{Scale: 0.01, Offset: -327.68}, 32769, 0.01},
		{calib.Line{Scale: -0.1}, 3, -0.3},
		{calib.Line{Scale: 1.0 / 3}, 1, 0.333333333333},
		{calib.Line{Scale: 1.0 / 3e6}, 1, 3.33333333333e-7},
		{calib.Line{}, 7, 0},
		{calib.Line{Scale: 1e-9}, math.MaxInt32, 2.147483647},
	} {
		got := valueOf(c.line, c.code)
		assert.Equal(t, c.want, got, "%v %v", c.line, c.code)
		assert.False(t, math.Signbit(got) && got == 0)
	}
	assert.True(t, math.IsNaN(valueOf(calib.Line{Scale: math.NaN()}, 1)))
	assert.True(t, math.IsInf(valueOf(calib.Line{Scale: math.Inf(1)}, 1), 1))
}

// No two codes of a converter come out alike, and none further off than a hundredth of
// a step.
func TestValueOf_KeepsTheCodesApart(t *testing.T) {
	random := rand.New(rand.NewPCG(4, 4))
	for range 20_000 {
		line := calib.Line{Scale: math.Pow(10, -6*random.Float64()) * (random.Float64() + 0.1)}
		line.Offset = -line.Scale * math.Floor(random.Float64()*(1<<31))
		code := math.Floor(random.Float64() * math.MaxInt32)
		assert.InDelta(t, line.Of(code), valueOf(line, code), line.Scale/100)
		assert.NotEqual(t, valueOf(line, code), valueOf(line, code+1))
	}
}

// dust is a run of zeros or nines that nobody typed.
var dust = regexp.MustCompile(`\.\d*?(0{7}[1-9]|9{7})`)

// Whatever scale and offset a box declares in decimals, no number of the text formats
// has dust in it.
func TestText_HasNoDust(t *testing.T) {
	random := rand.New(rand.NewPCG(8, 8))
	declared := func(decimals, upTo int) float64 {
		v, err := strconv.ParseFloat(strconv.FormatFloat(random.Float64()*float64(upTo), 'f', decimals, 64), 64)
		require.NoError(t, err)
		return v
	}
	for range 200 {
		source := inventedSource()
		volts, amperes := &source.Channels[series.VoltageChannel], &source.Channels[series.CurrentChannel]
		volts.Scale, volts.Offset = declared(3, 1)+0.001, -declared(2, 50)
		amperes.Scale, amperes.Offset = declared(2, 1)+0.01, -declared(1, 500)
		block := series.Block{Kind: series.Arc, Step: 100_000}
		for range 50 {
			block.V = append(block.V, int32(random.IntN(1<<16)))
			block.I = append(block.I, int32(random.IntN(1<<16)))
		}
		samples := Samples{WallTime: inventedClock, Parts: func(yield func(Part, error) bool) {
			yield(Part{Source: &source, Block: &block}, nil)
		}}
		for _, write := range []func(*bytes.Buffer) error{
			func(b *bytes.Buffer) error { return CSV(b, samples) },
			func(b *bytes.Buffer) error { return LineProtocol(b, samples, nil) },
		} {
			for line := range strings.Lines(written(t, write)) {
				for _, cell := range strings.FieldsFunc(line, func(r rune) bool { return r == ',' || r == ' ' || r == '=' }) {
					if _, err := strconv.ParseFloat(cell, 64); err == nil {
						assert.False(t, dust.MatchString(cell), cell)
					}
				}
			}
		}
	}
}
