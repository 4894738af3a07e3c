package capture

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

// turned returns the ticks and turns of all turn counts.
func (m *memory) turned() (ticks []int64, turns []float64) {
	for _, b := range m.blocks {
		if b.Kind == series.Turn {
			for k, c := range b.Count {
				ticks, turns = append(ticks, b.At(k)), append(turns, float64(c)/m.source.CountsPerTurn)
			}
		}
	}
	return ticks, turns
}

// turning is a capture of a torch that stands for 1 s, turns at 0.05 turns a second for
// 4 s and then stands again, at so many rows a second.
func turning(rate int, column func(turns float64) string) string {
	var b strings.Builder
	b.WriteString("time,voltage,current,torch\n")
	for k := range 6 * rate {
		at := float64(k) / float64(rate)
		fmt.Fprintf(&b, "%.4f,%.1f,%.0f,%s\n", at, 18+0.1*float64(k%7), 140+float64(k%5), column(0.05*min(max(at-1, 0), 4)))
	}
	return b.String()
}

// However turns are written, no digit of them is lost, and a torch that stands is seen
// to stand.
func TestTurns(t *testing.T) {
	for name, c := range map[string]struct {
		column func(float64) string
		option string
		counts float64
		sign   float64
	}{
		"turns":          {func(x float64) string { return fmt.Sprintf("%.4f", x) }, "torch", 1e4, 1},
		"degrees":        {func(x float64) string { return fmt.Sprintf("%.1f", x*360) }, "torch*0.002777777777777777", 3600, 1},
		"counts of 60":   {func(x float64) string { return fmt.Sprintf("%.0f", x*60) }, "torch*0.01666666666666666", 60, 1},
		"back":           {func(x float64) string { return fmt.Sprintf("%.4f", x) }, "torch*-1", 1e4, -1},
		"from elsewhere": {func(x float64) string { return fmt.Sprintf("%.4f", x-7) }, "torch", 1e4, 1},
	} {
		t.Run(name, func(t *testing.T) {
			m, s := read(t, []byte(turning(20, c.column)), Options{Turns: c.option})
			require.InEpsilon(t, c.counts, s.Source.CountsPerTurn, 1e-12)
			ticks, turns := m.turned()
			for k := range ticks {
				want := 0.05 * min(max(float64(ticks[k])/1e9-1, 0), 4)
				assert.InDelta(t, c.sign*want, turns[k]-turns[0], 0.51/c.counts+1e-9, "at %d", ticks[k])
			}
			assert.Contains(t, ticks, int64(0))
			assert.Equal(t, int64(5_950_000_000), ticks[len(ticks)-1], "the last row, where it stands")
			moves := 0
			for k := range ticks[1:] {
				assert.Greater(t, ticks[k+1], ticks[k])
				if turns[k+1] != turns[k] {
					moves++
				}
			}
			assert.InDelta(t, min(c.counts*0.2, 80), float64(moves), 3, "each count that moved")
			if c.counts > 1000 {
				assert.Contains(t, ticks, int64(1_000_000_000), "where it stood last")
			}
		})
	}
}

// Rows much faster than a torch turns give no more counts than say how.
func TestTurns_fast(t *testing.T) {
	m, _ := read(t, []byte(turning(5000, func(x float64) string { return fmt.Sprintf("%.7f", x) })), Options{Turns: "torch"})
	ticks, turns := m.turned()
	assert.InDelta(t, 4e9/countsApart, float64(len(ticks)), 10)
	assert.InDelta(t, 0.2, turns[len(turns)-1], 1e-9)
}

// Turn counts come before the rows that they stand with, and never across epochs.
func TestTurns_epochs(t *testing.T) {
	text := turning(20, func(x float64) string { return fmt.Sprintf("%.2f", x) })
	rows := strings.SplitN(text, "\n", 2)
	m, s := read(t, []byte(text+rows[1]), Options{Turns: "torch"})
	require.Equal(t, 2, s.Epochs)
	seen, arc := map[int]int64{}, map[int]int64{0: math.MinInt64, 1: math.MinInt64}
	for _, b := range m.blocks {
		switch b.Kind {
		case series.Turn:
			assert.GreaterOrEqual(t, b.At(0), arc[b.Epoch], "not late")
			seen[b.Epoch] = b.At(b.Len() - 1)
		case series.Arc:
			arc[b.Epoch] = b.At(b.Len() - 1)
		}
	}
	assert.Equal(t, map[int]int64{0: 5_950_000_000, 1: 5_950_000_000}, seen)
}

// A position has one column to three, and one factor; a speed has one. What a row lacks
// is missing in its place only.
func TestPositionAndTravel(t *testing.T) {
	text := "time,voltage,current,x,y,z,pace\n1,18,100,10,20,30,6\n2,18.1,101,11,,31,7\n3,18.2,102,12,22,32,\n"
	m, s := read(t, []byte(text), Options{Position: "x+y+z*0.001", Travel: "pace*0.001"})
	var names []string
	for _, c := range s.Source.Channels[2:] {
		names = append(names, c.Name+" "+c.Unit)
	}
	assert.Equal(t, []string{"position_x m", "position_y m", "position_z m", "travel_speed m/s"}, names)
	var got []string
	for _, b := range m.blocks {
		for k, v := range b.Value {
			got = append(got, fmt.Sprintf("%d:%d:%.3f", b.At(k)/1e9, b.Channel[k], v))
		}
	}
	assert.Equal(t, []string{
		"1:2:0.010", "1:3:0.020", "1:4:0.030", "1:5:0.006", "2:2:0.011", "2:4:0.031", "2:5:0.007", "3:2:0.012", "3:3:0.022", "3:4:0.032",
	}, got)
	assert.EqualValues(t, 2, s.NoWire)
	assert.Contains(t, remarks(m), "position from column 4 (x) and column 5 (y) and column 6 (z) times 0.001")

	for option, why := range map[string]string{"x+y+z+pace": "one column to three", "nowhere": "no column"} {
		_, err := Import(strings.NewReader(text), int64(len(text)), "c.csv", Options{Position: option}, &memory{}, nil)
		assert.ErrorContains(t, err, why)
	}
	for _, o := range []Options{{Travel: "pace+x"}, {Turns: "pace+x"}} {
		_, err := Import(strings.NewReader(text), int64(len(text)), "c.csv", o, &memory{}, nil)
		assert.ErrorContains(t, err, "only a time, or a position, may be joined")
	}
}

// A travel speed is found by its name where its unit is known.
func TestTravel_guessed(t *testing.T) {
	text := "time,voltage,current,Travel Speed (mm/min),Turns\n1,18,100,360,0.1\n2,18.1,101,361,0.2\n3,18.2,102,362,0.3\n"
	m, s := read(t, []byte(text), Options{})
	require.Equal(t, "travel_speed", s.Source.Channels[2].Name)
	assert.InDelta(t, 0.006, m.blocks[0].Value[0], 1e-9)
	assert.InDelta(t, 10, s.Source.CountsPerTurn, 0)
}
