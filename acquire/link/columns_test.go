package link

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

// meter is how the recorded bytes are read.
func meter() series.Layout {
	return series.Layout{Separator: ',', Point: '.', Columns: []series.Column{
		{Channel: "voltage", Number: 1, Factor: 1},
		{Channel: "current", Number: 2, Factor: 1},
		{Channel: "wire_speed", Number: 3, Factor: 1. / 60},
	}}
}

var arrived = time.Date(2026, 11, 28, 12, 0, 0, 0, time.UTC)

// heardOf decodes a stream in pieces, each of which arrives a while after the one before,
// and returns what was said.
func heardOf(t testing.TB, d Arriving, apart time.Duration, pieces ...string) (said []string) {
	t.Helper()
	for _, piece := range pieces {
		arrived = arrived.Add(apart)
		d.Arrive(arrived)
		d.Decode([]byte(piece), func(r *Reading, err error) {
			var damage *Error
			switch {
			case errors.As(err, &damage):
				said = append(said, strings.TrimSuffix(fmt.Sprintf("damage at %d, %d bytes: %s: %s", damage.Offset, damage.Bytes, damage.Kind, damage.Detail), ": "))
			case err != nil:
				t.Fatal(err)
			default:
				require.False(t, r.HasSeq)
				said = append(said, describe(r))
			}
		})
	}
	return said
}

func TestColumns_Capture(t *testing.T) {
	stream, err := os.ReadFile(filepath.Join(testdata, "capture", "link-columns.txt"))
	require.NoError(t, err)
	want := strings.Join(uncommented(t, "link-columns.want"), "\n")
	assert.Equal(t, want, strings.Join(heardOf(t, NewColumns(meter()), 0, string(stream)), "\n"))

	// Cut anywhere, it says the same, but for the times: those are when it arrived.
	for piece := 1; piece < 400; piece += 1 + piece/10 {
		d := NewColumns(meter())
		var said []string
		for rest := stream; len(rest) > 0; rest = rest[min(piece, len(rest)):] {
			said = append(said, heardOf(t, d, 0, string(rest[:min(piece, len(rest))]))...)
		}
		require.Equal(t, want, strings.Join(said, "\n"), "in pieces of %d bytes", piece)
	}
}

// The example in FORMAT.md, and the ways in which meters write.
func TestColumns_Dialects(t *testing.T) {
	first := strings.TrimSpace(example(t, "columns"))
	layout := func(separator, point byte, columns ...series.Column) series.Layout {
		return series.Layout{Columns: columns, Separator: separator, Point: point}
	}
	v, i := series.Column{Channel: "voltage", Number: 1, Factor: 1}, series.Column{Channel: "current", Number: 2, Factor: 1}
	for _, c := range []struct {
		id, line string
		layout   series.Layout
		volts    float64
		amperes  float64
	}{
		{"format", first, meter(), 17.51, 139.8},
		{"decimal comma", "17,51;139,8", layout(';', ',', v, i), 17.51, 139.8},
		{"spaces", "  17.51 \t 139.8  ", layout(' ', '.', v, i), 17.51, 139.8},
		{"tabs", "17.51\t139.8", layout('\t', '.', v, i), 17.51, 139.8},
		{"tenths", "175.1,1398", layout(',', '.', with(v, 0.1), with(i, 0.1)), 17.51, 139.8},
		{"thousandths", "17510,139800", layout(',', '.', with(v, 1e-3), with(i, 1e-3)), 17.51, 139.8},
		{"thousands", "0.01751,0.1398", layout(',', '.', with(v, 1e3), with(i, 1e3)), 17.51, 139.8},
		{"shunt of 300 A at 60 mV, clip the wrong way", "17.51,-27.96", layout(',', '.', v, with(i, -5)), 17.51, 139.8},
		{"order", "1,139.8,17.51", layout(',', '.', series.Column{Channel: "voltage", Number: 3, Factor: 1}, i), 17.51, 139.8},
		{"exponents", "1.751E+01,1398000e-4", layout(',', '.', v, i), 17.51, 139.8},
		{"exponent of a number without places", "17.51,1398000000000e-10", layout(',', '.', v, i), 0, 0},
		{"small", "1751E-9,5E-20", layout(',', '.', v, i), 1e-6, 0},
	} {
		t.Run(c.id, func(t *testing.T) {
			d := NewColumns(c.layout)
			source := ColumnsSource(c.layout)
			var readings int
			d.Arrive(arrived)
			d.Decode([]byte(c.line+"\n"+c.line+"\n"), func(r *Reading, err error) {
				if r == nil || len(r.Blocks) == 0 {
					return
				}
				readings++
				b := r.Blocks[0]
				assert.InDelta(t, c.volts, float64(b.V[0])*source.Channels[0].Scale, 1e-6)
				assert.InDelta(t, c.amperes, float64(b.I[0])*source.Channels[1].Scale, 1e-5)
			})
			if c.volts == 0 {
				assert.Zero(t, readings)
				return
			}
			assert.Equal(t, 1, readings, "the first line never counts")
		})
	}
}

func with(c series.Column, factor float64) series.Column {
	c.Factor = factor
	return c
}

func TestColumnsSource(t *testing.T) {
	s := ColumnsSource(meter())
	assert.True(t, s.Unprotected)
	assert.True(t, s.SamplesArc())
	assert.Equal(t, "columns", s.Link)
	assert.Equal(t, []series.Channel{
		{Name: "voltage", Unit: "V", Scale: 1e-6, Basis: series.Average},
		{Name: "current", Unit: "A", Scale: 1e-5, Basis: series.Average},
		{Name: "wire_speed", Unit: "m/s", Scale: 1, Basis: series.Average},
	}, s.Channels)

	gas := series.Layout{Separator: ',', Point: '.', Columns: []series.Column{{Channel: "gas_flow", Number: 2, Factor: 0.5}}}
	s = ColumnsSource(gas)
	assert.False(t, s.SamplesArc())
	assert.Equal(t, []series.Channel{{Name: "gas_flow", Unit: "L/min", Scale: 1, Basis: series.Average}}, s.Channels)
	assert.Equal(t, []string{
		"damage at 0, 4 bytes: body has the wrong length: 2 columns, and nobody has seen where it begins",
		"reading boot 0 seq 0 tick 1\n  slow step 0 channel [0] value [7.5]",
	}, heardOf(t, NewColumns(gas), 0, "1,2\n", "1,15\n"))

	_, err := New(Columns)
	assert.ErrorContains(t, err, "which column")
	assert.Panics(t, func() {
		NewColumns(series.Layout{Columns: []series.Column{{Channel: "gas_flow", Number: 0, Factor: 1}}})
	})
}

// Lines stand at the time of their arrival; those of one read share the time since the
// read before it.
func TestColumns_Ticks(t *testing.T) {
	const line = "17.5,140,5\n"
	d := NewColumns(meter())
	ticks := func(after time.Duration, text string) (ms []float64) {
		arrived = arrived.Add(after)
		d.Arrive(arrived)
		d.Decode([]byte(text), func(r *Reading, err error) {
			if err == nil {
				ms = append(ms, math.Round(float64(r.Tick)/1e4)/100)
			}
		})
		return ms
	}
	assert.Equal(t, []float64{0}, ticks(0, line+line))
	assert.Equal(t, []float64{100}, ticks(100*time.Millisecond, line))
	assert.Equal(t, []float64{120, 140, 160, 180, 200}, ticks(100*time.Millisecond, strings.Repeat(line, 5)))
	assert.Nil(t, ticks(50*time.Millisecond, line[:4]), "a part of a line")
	assert.Equal(t, []float64{300}, ticks(50*time.Millisecond, line[4:]), "it has taken the whole time")
	assert.Equal(t, []float64{550, 800, 1050, 1300}, ticks(time.Second, strings.Repeat(line, 4)), "the machine was busy")
	// Away for ten seconds: the lines of this read came one after the other, as they do.
	usual := 1300.0 / 11
	assert.InDeltaSlice(t, []float64{11300 - usual, 11300}, ticks(10*time.Second, line+line), 0.1)
	// A clock that was set back gives no time twice.
	back := ticks(-time.Hour, line+line)
	require.Len(t, back, 2)
	assert.GreaterOrEqual(t, back[0], 11300.0)
}

// What was under way when the port went away is not joined with what comes after it,
// though it would make a line.
func TestColumns_Interrupted(t *testing.T) {
	d := NewColumns(meter())
	heardOf(t, d, 0, "17.5,140,5\n17.5,140,5\n17.5,14")
	d.Interrupt()
	said := heardOf(t, d, 0, "9,5.5\n", "1.5,140.2,5.5\n", "17.5,140.2,5.5\n", "17.6,140.3,5.5\n")
	require.Len(t, said, 4)
	assert.Contains(t, said[0], "damage at 29, 6 bytes")
	assert.Contains(t, said[1], "nobody has seen where it begins")
	assert.Contains(t, said[2], "V [17500000] I [14020000]")
}

func TestColumns_DoesNotAllocate(t *testing.T) {
	d := NewColumns(meter())
	text := []byte("17.51, 139.8, 5.5\r\n")
	blocks := 0
	yield := func(r *Reading, err error) {
		if r != nil {
			blocks += len(r.Blocks)
		}
	}
	d.Decode(text, yield)
	assert.Zero(t, testing.AllocsPerRun(1000, func() { d.Decode(text, yield) }))
	assert.GreaterOrEqual(t, blocks, 2000)
}

// FuzzColumns wants of any stream that it is read alike however it comes cut, that
// no line counts which is not of numbers, and that no time goes back.
func FuzzColumns(f *testing.F) {
	stream, err := os.ReadFile(filepath.Join(testdata, "capture", "link-columns.txt"))
	require.NoError(f, err)
	f.Add(stream, uint8(7))
	f.Add([]byte("1,2,3\n1,2,3\n1,2\r1,2\r"), uint8(1))
	f.Add(bytes.Repeat([]byte("9,"), 200), uint8(40))
	f.Fuzz(func(t *testing.T, stream []byte, size uint8) {
		whole := heardOf(t, NewColumns(meter()), 0, string(stream))
		d := NewColumns(meter())
		var cut []string
		last := int64(-1)
		step := int(size)%64 + 1
		for rest := stream; len(rest) > 0; rest = rest[min(step, len(rest)):] {
			d.Decode(rest[:min(step, len(rest))], func(r *Reading, err error) {
				if err != nil {
					cut = append(cut, "")
					return
				}
				require.Greater(t, r.Tick, last)
				last = r.Tick
				for k := range r.Blocks {
					requireSound(t, &r.Blocks[k])
				}
				cut = append(cut, describe(r))
			})
		}
		require.Len(t, cut, len(whole))
	})
}
