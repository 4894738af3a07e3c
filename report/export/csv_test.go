package export

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
	"arctally/report/sheet/sheettest"
)

// The values are code*scale + offset by hand: 7000*0.0025 - 0.5 = 17, -120*0.0025 - 0.5 = -0.8; 4480*0.03125 = 140.
// The window of sums has means 7000 and 4480, so 17 V and 140 A; its power is
// 0.0025*0.03125*31360000 + (-0.5)*0.03125*4480 = 2450 - 70 = 2380 W.
func TestCSV(t *testing.T) {
	got := written(t, func(b *bytes.Buffer) error { return CSV(b, of(inventedBlocks())) })
	want := headOf(arcColumns) +
		"2026-03-02T08:15:00.999999900Z,0,999999900,1,17,140,,,\n" +
		"2026-03-02T08:15:01.000099900Z,0,1000099900,0,-0.8,281.25,,,\n" +
		"2026-03-02T08:15:01.000199900Z,0,1000199900,0,17.0025,139.96875,,,\n" +
		"2026-03-02T08:15:02.000000001Z,0,2000000001,0,16.9975,0,1,,\n" +
		"2026-03-02T08:15:02.333333333Z,0,2333333333,0,17,-0.03125,0,,\n" +
		"2026-03-02T09:15:00.500000000Z,1,500000000,1,17,140,0.75,2380,0.000400000\n"
	assert.Equal(t, want, got)
}

func TestSlowCSV(t *testing.T) {
	got := written(t, func(b *bytes.Buffer) error { return SlowCSV(b, calibrated(of(inventedBlocks()))) })
	want := headOf(slowColumns) +
		"2026-03-02T08:15:00.000000000Z,0,0,0,gas_flow,28.5,L/min\n" +
		"2026-03-02T08:15:00.100000000Z,0,100000000,0,\"odd, \"\"name\"\"\",-1,\n" +
		"2026-03-02T08:15:00.200000000Z,0,200000000,0,gas_flow,,L/min\n" +
		"2026-03-02T08:15:00.000001000Z,0,1000,0,turn_count,5,\n" +
		"2026-03-02T08:15:00.010001000Z,0,10001000,0,turn_count,6,\n" +
		"2026-03-02T08:15:00.020001000Z,0,20001000,0,turn_count,4,\n"
	assert.Equal(t, want, got)
}

func TestCSVWithoutADate(t *testing.T) {
	s := of([]series.Block{{Kind: series.Arc, Tick: -1_500_000_000, Step: 2_000_000_000, V: []int32{0, 0}, I: []int32{0, 0}}})
	s.WallTime = nil
	got := written(t, func(b *bytes.Buffer) error { return CSV(b, s) })
	assert.Equal(t, headOf(arcColumns)+"-1.500000000,0,-1500000000,0,-0.5,0,,,\n0.500000000,0,500000000,0,-0.5,0,,,\n", got)
}

// TestCSVReadsBack covers what the cache of texts must not mix up:
// codes that share a slot, and a source that changes its scales on the way.
func TestCSVReadsBack(t *testing.T) {
	blocks := manyBlocks(3)
	for k := range blocks[1].V {
		blocks[1].V[k] += cacheSize
		blocks[1].I[k] -= 3 * cacheSize
	}
	first, second := inventedSource(), inventedSource()
	second.Channels[series.VoltageChannel].Scale = 0.001
	s := calibrated(of(nil))
	s.Parts = func(yield func(Part, error) bool) {
		_ = yield(Part{Source: &first, Block: &blocks[0]}, nil) && yield(Part{Block: &blocks[1]}, nil) && yield(Part{Source: &second, Block: &blocks[2]}, nil)
	}
	var b bytes.Buffer
	require.NoError(t, CSV(&b, s))
	rows, err := csv.NewReader(&b).ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 1+3*1000)
	for n, row := range rows[1:] {
		scale := 0.0025
		if n >= 2000 {
			scale = 0.001
		}
		block := &blocks[n/1000]
		volts, err := strconv.ParseFloat(row[4], 64)
		require.NoError(t, err)
		amperes, err := strconv.ParseFloat(row[5], 64)
		require.NoError(t, err)
		gain, offset := 1.5, -0.5
		require.InDelta(t, float64(block.V[n%1000])*(scale*gain)+(offset*gain+0.25), volts, 1e-10, "row %d", n)
		require.Equal(t, float64(block.I[n%1000])*0.03125, amperes, "row %d", n)
		require.Equal(t, strconv.FormatInt(block.At(n%1000), 10), row[2])
	}
}

func TestErrorsComeBackAtOnce(t *testing.T) {
	for name, write := range map[string]func(io.Writer, Samples) error{
		"csv":           CSV,
		"line protocol": func(w io.Writer, s Samples) error { return LineProtocol(w, s, nil) },
	} {
		given := 0
		blocks := manyBlocks(1)
		source := inventedSource()
		s := of(nil)
		s.Parts = func(yield func(Part, error) bool) {
			for yield(Part{Source: &source, Block: &blocks[0]}, nil) {
				given++
			}
		}
		require.ErrorIs(t, write(&sheettest.Full{Left: 100_000}, s), sheettest.ErrFull, name)
		assert.LessOrEqual(t, given, 3, "%s: 1000 rows are more than 40 kB, so the third block must be the last", name)
	}
}

func TestErrorsOfTheSamples(t *testing.T) {
	broken := errors.New("page 7 is damaged")
	blocks := inventedBlocks()
	bad := series.Block{Kind: series.Slow, Channel: []uint8{9}, Value: []float64{1}}
	for name, c := range map[string]struct {
		parts []Part
		err   error
		want  string
	}{
		"reader":     {nil, broken, "read samples: page 7 is damaged"},
		"no source":  {[]Part{{Block: &blocks[2]}}, nil, "before the description of their source"},
		"no channel": {[]Part{{Source: new(inventedSource()), Block: &bad}}, nil, "channel 9 at tick 0 is not one of the 4"},
	} {
		t.Run(name, func(t *testing.T) {
			s := Samples{WallTime: inventedClock, Parts: func(yield func(Part, error) bool) {
				for _, p := range c.parts {
					if !yield(p, nil) {
						return
					}
				}
				if c.err != nil {
					yield(Part{}, c.err)
				}
			}}
			require.ErrorContains(t, SlowCSV(io.Discard, s), c.want)
			require.ErrorContains(t, LineProtocol(io.Discard, s, nil), c.want)
		})
	}
}

func TestNoSamplesIsAHeadAlone(t *testing.T) {
	assert.Equal(t, headOf(arcColumns), written(t, func(b *bytes.Buffer) error { return CSV(b, Samples{}) }))
	assert.Equal(t, 1, strings.Count(headOf(slowColumns), "\n"))
}

// allocations of an export must not grow with the samples.
func TestNoAllocationPerSample(t *testing.T) {
	for name, write := range map[string]func(io.Writer, Samples) error{
		"csv":           CSV,
		"line protocol": func(w io.Writer, s Samples) error { return LineProtocol(w, s, nil) },
	} {
		few, many := of(manyBlocks(10)), of(manyBlocks(100))
		count := func(s Samples) float64 {
			return testing.AllocsPerRun(3, func() { require.NoError(t, write(io.Discard, s)) })
		}
		assert.InDelta(t, count(few), count(many), 4, "%s: 90000 more samples", name)
	}
}
