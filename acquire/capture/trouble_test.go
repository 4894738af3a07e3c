package capture

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

var plain = Options{Time: "1", Voltage: "2", Current: "3"}

// ticking writes n rows, step seconds apart, from a time in s.
func ticking(from, step float64, n int) string {
	var b strings.Builder
	for k := range n {
		fmt.Fprintf(&b, "%.3f,%d,%d\n", from+step*float64(k), 18+k%3, 100+k%7)
	}
	return b.String()
}

func TestUnreadableRows(t *testing.T) {
	text := ticking(0, 0.01, 300) +
		"2.995,nan,100\n2.996,18\n2.997,18,100,3\n2.998,18,1x0\n\x00\x01\x02\n,18,100\n2.999,inf,100\n" +
		ticking(3, 0.01, 9700) + strings.Repeat("junk,,\n", 1000) + ticking(200, 0.01, 300) + "203.0,1"
	m, s := read(t, []byte(text), plain)
	assert.EqualValues(t, 10300, s.Samples)
	assert.EqualValues(t, 1008, s.Unreadable)
	assert.EqualValues(t, 11308, s.Rows)
	events := m.of(series.Unreadable)
	require.Len(t, events, 3, "the short list still counts them all")
	assert.EqualValues(t, 1008, m.total(series.Unreadable))
	assert.Equal(t, `7 unreadable rows, lines 301 to 307: the voltage is not a number in "2.995,nan,100"`, events[0].Text)
	assert.EqualValues(t, 299*1e7, events[0].Tick)
	assert.Equal(t, `1000 unreadable rows, lines 10008 to 11007: the time cannot be read in "junk,,"`, events[1].Text)
	assert.Equal(t, `1 unreadable row, line 11308: wrong number of fields in "203.0,1"`, events[2].Text)
	assert.Equal(t, 2, breaks(m), "no break where the time step is still small")
	assert.Contains(t, remarks(m), "the last line has no line end")
}

// breaks counts the breaks that a sink was told of, the first sample's too.
func breaks(m *memory) int {
	n := 0
	for _, s := range m.samples() {
		if s.after {
			n++
		}
	}
	return n
}

func TestNoValueBreaks(t *testing.T) {
	text := ticking(0, 0.01, 100) + "1.0,,100\n1.01,18, \n" + ticking(1.02, 0.01, 100)
	m, s := read(t, []byte(text), plain)
	assert.EqualValues(t, 200, s.Samples)
	assert.EqualValues(t, 2, s.NoValue)
	assert.Zero(t, s.Unreadable)
	assert.Equal(t, 2, breaks(m))
	events := m.of(series.Unreadable)
	require.Len(t, events, 1)
	assert.Equal(t, "2 rows without voltage, current or arc flag, lines 101 to 102", events[0].Text)
	assert.EqualValues(t, 1e9, events[0].Tick)
	assert.EqualValues(t, 101e7, events[0].Until)
}

func TestGaps(t *testing.T) {
	m, s := read(t, []byte(ticking(0, 0.024, 100)+ticking(4, 0.024, 100)+ticking(30, 0.024, 100)), plain)
	assert.EqualValues(t, 2, s.Gaps)
	assert.InDelta(t, 4-2.376+30-6.376, s.GapTotal.Seconds(), 1e-9)
	events := m.of(series.Gap)
	require.Len(t, events, 2)
	assert.EqualValues(t, 2376e6, events[0].Tick)
	assert.EqualValues(t, 4e9, events[0].Until)
	assert.Equal(t, "line 101: no rows for 1.624 s", events[0].Text)
	assert.Equal(t, 3, breaks(m))
	assert.InDelta(t, 0.24, float64(m.source.MaxStep)/1e9, 0.001)
}

func TestClockSetBack(t *testing.T) {
	m, s := read(t, []byte(ticking(100, 0.01, 500)+ticking(60, 0.01, 500)), plain)
	assert.Equal(t, 2, s.Epochs)
	assert.EqualValues(t, 1, s.Backward)
	events := m.of(series.ClockBack)
	require.Len(t, events, 1)
	assert.Equal(t, series.Event{
		Kind: series.ClockBack, Epoch: 1, Tick: 60e9, Until: 60e9, Count: 1,
		Text: "line 501: the clock was set back by 44.99 s and stayed so; a new epoch begins",
	}, events[0])
	for k, x := range m.samples() {
		require.Equal(t, k/500, x.epoch)
		require.Equal(t, k%500 == 0, x.after)
	}
}

func TestStepsBackThatRecover(t *testing.T) {
	text := ticking(0, 0.01, 100) + ticking(0.7, 0.01, 100)
	m, s := read(t, []byte(text), plain)
	assert.Equal(t, 1, s.Epochs)
	assert.EqualValues(t, 1, s.Backward)
	assert.EqualValues(t, 30, s.Behind, "these rows repeat a time that has been")
	events := m.of(series.ClockBack)
	require.Len(t, events, 1)
	assert.Equal(t, "1 step of the time stamps backwards, line 101", events[0].Text)
	assert.EqualValues(t, 7e8, events[0].Tick)
	got := m.samples()
	require.Len(t, got, 200)
	assert.EqualValues(t, 7e8, got[100].tick, "rows keep their order and their ticks")
}

func TestStepsBackAtTheEnd(t *testing.T) {
	m, s := read(t, []byte(ticking(0, 0.01, 100)+ticking(0.2, 0.01, 10)), plain)
	assert.EqualValues(t, 110, s.Samples)
	assert.Equal(t, 1, s.Epochs)
	assert.EqualValues(t, 1, m.total(series.ClockBack))
}

func TestTimeThatStandsOut(t *testing.T) {
	text := ticking(100, 0.01, 100) + "900.0,18,100\n" + ticking(101, 0.01, 100)
	m, s := read(t, []byte(text), plain)
	assert.EqualValues(t, 1, s.Unreadable)
	assert.EqualValues(t, 200, s.Samples)
	assert.Zero(t, s.Gaps)
	assert.Equal(t, 1, s.Epochs)
	assert.Equal(t, "1 unreadable row, line 101: the time stands out from the rows around it", m.of(series.Unreadable)[0].Text)
}

func TestFirstRowCutShort(t *testing.T) {
	text := "0012.345,18,100\n" + ticking(1.9e9, 0.01, 100)
	m, s := read(t, []byte(text), plain)
	assert.True(t, s.Dated)
	assert.EqualValues(t, 1, s.Unreadable)
	assert.EqualValues(t, 19e17, s.First)
	assert.EqualValues(t, 19e17, m.of(series.Unreadable)[0].Tick)
}

func TestSameTimeStamps(t *testing.T) {
	var b strings.Builder
	for k := range 240 {
		fmt.Fprintf(&b, "%.1f,%d,%d\n", float64(k/24)/10, 18+k%3, 100+k%7)
	}
	m, s := read(t, []byte(b.String()), plain)
	assert.EqualValues(t, 230, s.Repeated)
	assert.EqualValues(t, 230, s.Behind)
	assert.Zero(t, s.Backward)
	assert.Equal(t, 100*time.Millisecond, s.Step)
	assert.Contains(t, remarks(m), "230 rows with the same time stamp as the row before")
}

// TestWrap unrolls a clock of minutes and seconds over two full hours; some
// rows come late just after the wrap.
func TestWrap(t *testing.T) {
	var b strings.Builder
	var want []int64
	for k := range 2 * 3600 {
		at := int64(3000+k) * 1e9
		if k%600 == 1 {
			at -= 2e9
		}
		want = append(want, at)
		fmt.Fprintf(&b, "%02d:%02d.%d,%d,%d\n", at/60e9%60, at/1e9%60, at/1e8%10, 18+k%3, 100+k%7)
	}
	m, s := read(t, []byte(b.String()), plain)
	assert.Equal(t, 1, s.Epochs)
	assert.EqualValues(t, 12, s.Backward)
	for k, x := range m.samples() {
		require.Equal(t, want[k], x.tick)
	}
	assert.Equal(t, 2, strings.Count(remarks(m), "wrap of the clock"))
}

func TestMinutesBeyondTheHour(t *testing.T) {
	m, s := read(t, []byte("59:59.0,18,100\n60:00.0,18,101\n61:00.5,18,102\n"), plain)
	assert.Equal(t, 1, s.Epochs)
	assert.EqualValues(t, 3660.5*1e9, m.samples()[2].tick)
	assert.NotContains(t, remarks(m), "wrap of the clock")
}

func TestMidnight(t *testing.T) {
	m, s := read(t, []byte("23:59:59.5,18,100\n00:00:00.5,18,101\n00:00:01.5,18,102\n"), plain)
	assert.Equal(t, 1, s.Epochs)
	assert.EqualValues(t, 86401.5*1e9, m.samples()[2].tick)
}

func TestRateThatIsNoWholeStep(t *testing.T) {
	text := strings.Repeat("18,100\n", 44100)
	m, s := read(t, []byte(text), Options{Voltage: "1", Current: "2", Rate: 44100})
	assert.EqualValues(t, 999977324, s.Last)
	for k, x := range m.samples() {
		require.InDelta(t, float64(k)*1e9/44100, float64(x.tick), 0.51)
	}
}

func TestUnreadableRowTakesItsTime(t *testing.T) {
	text := strings.Repeat("18,100\n", 10) + "18,x\n" + strings.Repeat("18,101\n", 10)
	m, s := read(t, []byte(text), Options{Voltage: "1", Current: "2", Rate: 50000})
	assert.EqualValues(t, 20*20000, s.Last)
	assert.EqualValues(t, 11*20000, m.samples()[10].tick)
	assert.Equal(t, 1, breaks(m))
}

// patterned is a capture of any size without the memory for it.
type patterned struct {
	row  string
	rows int64
}

func (p patterned) ReadAt(b []byte, off int64) (int, error) {
	for i := range b {
		b[i] = p.row[(off+int64(i))%int64(len(p.row))]
	}
	return len(b), nil
}

func TestConstantMemory(t *testing.T) {
	if testing.Short() {
		t.Skip("it imports 20 MB")
	}
	p := patterned{row: "18.25\t101\n19.50\t120\n", rows: 1 << 20}
	allocated := testing.Benchmark(func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			_, err := Import(p, int64(len(p.row))*p.rows, "long", Options{Voltage: "1", Current: "2", Rate: 1e5}, &nowhere{}, nil)
			require.NoError(b, err)
		}
	}).AllocedBytesPerOp()
	assert.Less(t, allocated, int64(8<<20), "for 20 MB of text, read twice")
}

func FuzzImport(f *testing.F) {
	f.Add([]byte("time,voltage,current,arc\n1,18,100,1\n2,18,101,0\n"), "", "", "", "", "")
	f.Add([]byte("time_s,.voltage,/a/current,x,y\n1,18,100,0.1,7\n2,18,101,0.2,-7e17\n"), "", "", "", "", "x+y*-0.001")
	f.Add([]byte("time,u,i\n02/01/2026 08:00:00,18,100\n13/01/2026 08:00:00,18,100\n"), "", "", "u", "i", "u*1e-90")
	f.Add([]byte("00:01.5\t18\t100\r00:02.5\t18\t101\r"), "1", "04:05.0", "2*0.1", "3", "2+3")
	f.Add([]byte("5;6;7\n4;;\"x\n"), "1", "unix", "2", "3", "1")
	f.Fuzz(func(t *testing.T, text []byte, when, layout, volts, amperes, way string) {
		for _, rate := range []float64{0, 50000} {
			o := Options{Time: when, TimeLayout: layout, Voltage: volts, Current: amperes, Turns: way, Position: way, Travel: way}
			if rate > 0 {
				o.Time, o.Rate = "", 50000
			}
			if strings.Contains(way, "+") {
				o.Turns, o.Travel = "", ""
			}
			m := &memory{}
			s, err := Import(bytes.NewReader(text), int64(len(text)), "fuzz", o, m, nil)
			if err != nil {
				var e *Error
				require.ErrorAs(t, err, &e)
				continue
			}
			requireSoundWay(t, m)
			require.Equal(t, s.Rows, s.Samples+s.Unreadable+s.NoValue)
			require.Len(t, m.samples(), int(s.Samples))
			require.Equal(t, s.Unreadable+s.NoValue, m.total(series.Unreadable))
			require.Equal(t, s.Backward, m.total(series.ClockBack))
			require.Len(t, m.of(series.Gap), int(s.Gaps))
		}
	})
}

// requireSoundWay holds what a capture tells of its way against what an analysis takes.
func requireSoundWay(t *testing.T, m *memory) {
	t.Helper()
	latest := map[int]int64{}
	for _, b := range m.blocks {
		for k := range b.Count {
			require.Greater(t, m.source.CountsPerTurn, 0.0)
			if last, any := latest[b.Epoch]; any {
				require.Greater(t, b.At(k), last)
			}
			latest[b.Epoch] = b.At(k)
		}
		for k, v := range b.Value {
			require.False(t, math.IsNaN(v) || math.IsInf(v, 0))
			require.Less(t, int(b.Channel[k]), len(m.source.Channels))
		}
	}
	require.False(t, math.IsInf(m.source.CountsPerTurn, 0))
}
