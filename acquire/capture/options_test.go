package capture

import (
	"bytes"
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

// remarks joins the texts of the remarks that a sink was given.
func remarks(m *memory) string {
	var all []string
	for _, e := range m.of(series.Remark) {
		all = append(all, e.Text)
	}
	return strings.Join(all, "\n")
}

// TestShapesOfText reads the same three rows however they are written.
func TestShapesOfText(t *testing.T) {
	numbers := Options{Time: "1", Voltage: "2", Current: "3", ArcFlag: "4"}
	for _, c := range []struct {
		id, text string
		o        Options
	}{
		{"commas", "1.5,18.0,100,1\n2.5,18.1,101,0\n3.5,18.2,102,1\n", numbers},
		{"semicolons", "1.5;18.0;100;1\n2.5;18.1;101;0\n3.5;18.2;102;1\n", numbers},
		{"decimal commas", "1,5;18,0;100;1\n2,5;18,1;101;0\n3,5;18,2;102;1\n", numbers},
		{"tabs", "1.5\t18.0\t100\t1\n2.5\t18.1\t101\t0\n3.5\t18.2\t102\t1\n", numbers},
		{"decimal commas and tabs", "1,5\t18,0\t100\t1\n2,5\t18,1\t101\t0\n3,5\t18,2\t102\t1\n", numbers},
		{"spaces", "  1.5  18.0 100 1\n  2.5  18.1 101 0  \n  3.5 18.2   102 1\n", numbers},
		{"commas and spaces", "1.5, 18.0, 100, 1\n2.5, 18.1, 101, 0\n3.5, 18.2, 102, 1\n", numbers},
		{"quotes", "\"1.5\",\"18.0\",\"100\",\"1\"\n\"2.5\",\"18.1\",\"101\",\"0\"\n\"3.5\",\"18.2\",\"102\",\"1\"\n", numbers},
		{"CR LF and a byte order mark", "\xef\xbb\xbf1.5,18.0,100,1\r\n2.5,18.1,101,0\r\n3.5,18.2,102,1\r\n", numbers},
		{"CR alone", "1.5,18.0,100,1\r2.5,18.1,101,0\r3.5,18.2,102,1\r", numbers},
		{"mixed ends, blank lines, no last end", "1.5,18.0,100,1\r\n\r\n2.5,18.1,101,0\r\n\n3.5,18.2,102,1", numbers},
		{"comments", "# made here\n1.5,18.0,100,1\n# in between\n2.5,18.1,101,0\n3.5,18.2,102,1\n", numbers},
		{"words for flags", "1.5,18.0,100,true\n2.5,18.1,101,FALSE\n3.5,18.2,102,on\n", numbers},
		{"exponents", "1.5e0,1.8e1,1e2,1\n2.5,18.1,101,0\n35e-1,1.82E+1,102,1\n", numbers},
		{
			"factors", "1500,180,0.1,1\n2500,181,0.101,0\n3500,182,0.102,1\n",
			Options{Time: "1*0.001", Voltage: "2*0.1", Current: "3 * 1000", ArcFlag: "4"},
		},
		{"numbers over a header", "a,b,c,d\n1.5,18.0,100,1\n2.5,18.1,101,0\n3.5,18.2,102,1\n", numbers},
		{
			"names", "secs, U arc ,I*2,on\n1.5,18.0,50,1\n2.5,18.1,50.5,0\n3.5,18.2,51,1\n",
			Options{Time: "secs", Voltage: "u ARC", Current: "I*2*2", ArcFlag: "on"},
		},
		{"guessed", "Time, Arc Voltage (V), Welding Current [A], Arc On\n1.5,18.0,100,1\n2.5,18.1,101,0\n3.5,18.2,102,1\n", Options{}},
		{"guessed units", "t (ms);U [mV];I/kA;arc\n1500;18000;0.100;1\n2500;18100;0.101;0\n3500;18200;0.102;1\n", Options{}},
		{"a header in a comment", "# time voltage current arc\n1.5 18.0 100 1\n2.5 18.1 101 0\n3.5 18.2 102 1\n", Options{}},
		{
			"a preamble and a row of units",
			"Recorder 5, made here\n\ntime,voltage,current,arc\ns,V,A,-\n1.5,18.0,100,1\n2.5,18.1,101,0\n3.5,18.2,102,1\n",
			Options{},
		},
		{
			"date and time", "day;clock;U;I;on\n01.01.1970;00:00:01.5;18.0;100;1\n01.01.1970;00:00:02.5;18.1;101;0\n01.01.1970;00:00:03.5;18.2;102;1\n",
			Options{Time: "day+clock", TimeLayout: "02.01.2006 15:04:05.0", Voltage: "U", Current: "I", ArcFlag: "on"},
		},
		{"a rate", "180,100,1\n181,101,0\n182,102,1\n", Options{Rate: 1, Voltage: "1*0.1", Current: "2", ArcFlag: "3"}},
	} {
		t.Run(c.id, func(t *testing.T) {
			m, s := read(t, []byte(c.text), c.o)
			got := m.samples()
			require.Len(t, got, 3)
			offset := int64(15e8)
			if c.o.Rate > 0 {
				offset = 0
			}
			for k, x := range got {
				assert.Equal(t, offset+int64(k)*1e9, x.tick)
				assert.InDelta(t, 18+0.1*float64(k), x.v, 1e-12)
				assert.InDelta(t, 100+float64(k), x.i, 1e-12)
				assert.Equal(t, k != 1, x.flag)
			}
			assert.Zero(t, s.Unreadable)
			assert.EqualValues(t, 3, s.Rows)
			assert.True(t, s.Flagged)
			assert.Equal(t, "capture", m.source.Link)
			assert.True(t, m.source.Unprotected)
		})
	}
}

func TestOptionErrors(t *testing.T) {
	rows := "1700000000.5,18.0,100\n1700000001.5,18.1,101\n"
	header := "time,voltage,current\n" + rows
	for _, c := range []struct {
		id, text string
		o        Options
		want     []string // in the error and its hint
	}{
		{
			"no header and no options", rows,
			Options{},
			[]string{"made.csv:1", "--voltage", "--current", "--time", "1=1700000000.5  2=18.0  3=100", "--time-layout unix"},
		},
		{"no time", rows, Options{Voltage: "2", Current: "3"}, []string{"--time", "--rate"}},
		{"time and rate", rows, Options{Time: "1", Rate: 10, Voltage: "2", Current: "3"}, []string{"cannot both"}},
		{"a rate below zero", rows, Options{Rate: -1, Voltage: "2", Current: "3"}, []string{"not possible"}},
		{"no such name", header, Options{Voltage: "volts"}, []string{"--voltage", `"volts"`, "2=voltage"}},
		{"no such column", rows, Options{Time: "1", Voltage: "7", Current: "3"}, []string{"no column 7", "have 3"}},
		{"column zero", rows, Options{Time: "0", Voltage: "2", Current: "3"}, []string{"no column 0"}},
		{"a factor that is none", rows, Options{Time: "1", Voltage: "2*x", Current: "3"}, []string{`"x"`, "not a number"}},
		{"a factor of zero", rows, Options{Time: "1", Voltage: "2*0", Current: "3"}, []string{"other than zero"}},
		{"joined volts", rows, Options{Time: "1", Voltage: "2+3", Current: "3"}, []string{"only a time"}},
		{"two voltages", "time,v,u,i\n1,2,3,4\n", Options{}, []string{"columns 2 (v) and 3 (u) may both be the voltage"}},
		{"an unknown unit", "time,voltage (dV),current\n1,180,100\n", Options{}, []string{"unit is not known", "--voltage 2*FACTOR"}},
		{"a layout without an hour", rows, Options{Time: "1", TimeLayout: "hh:mm", Voltage: "2", Current: "3"}, []string{"as Go does"}},
		{
			"an unknown layout", "12/11/31 10:00,18.0,100\n12/11/31 10:01,18.1,101\n",
			Options{Time: "1", Voltage: "2", Current: "3"},
			[]string{"layout of the time", "--time-layout"},
		},
		{"hour or minute", "12:11,18.0,100\n12:12,18.1,101\n", Options{Time: "1", Voltage: "2", Current: "3"}, []string{"layout of the time"}},
		{"nothing", "", Options{}, []string{"no rows"}},
		{"blank lines", "\n\r\n \n", Options{}, []string{"no rows"}},
		{"one column", "18.0\n18.1\n", Options{}, []string{"no columns"}},
		{"a header only", "time,voltage,current\n", Options{}, []string{"no row of data"}},
		{"UTF-16", "\xff\xfe1\x00", Options{}, []string{"UTF-16", "UTF-8"}},
		{"compressed", "\x1f\x8b\x08", Options{}, []string{"compressed", "unpack"}},
		{"no values", "1,,\n2,,\n", Options{Time: "1", Voltage: "2", Current: "3"}, []string{"none of the 2 rows"}},
		{"newest first", strings.Repeat("9,18,100\n8,18,100\n7,18,100\n6,18,100\n5,18,100\n4,18,100\n3,18,100\n2,18,100\n1,18,100\n0,18,101\n", 1) +
			"-1,1,1\n-2,1,1\n", Options{Time: "1", Voltage: "2", Current: "3"}, []string{"backwards", "newest row first"}},
	} {
		t.Run(c.id, func(t *testing.T) {
			_, err := Import(bytes.NewReader([]byte(c.text)), int64(len(c.text)), "made.csv", c.o, &memory{}, nil)
			var e *Error
			require.ErrorAs(t, err, &e)
			for _, w := range c.want {
				assert.Contains(t, e.Error()+"\n"+e.Hint(), w)
			}
		})
	}
}

func TestMostRowsUnreadable(t *testing.T) {
	text := "1,18,100\n2,18,101\n" + strings.Repeat("oops,18,1\n", 20)
	o := Options{Time: "1", Voltage: "2", Current: "3"}
	m, s := read(t, []byte(text), o)
	assert.EqualValues(t, 2, s.Samples)
	assert.EqualValues(t, 20, s.Unreadable)
	assert.Equal(t, []int64{3, 4, 5, 6, 7}, s.Left)
	assert.Contains(t, remarks(m), "20 of 22 rows cannot be read: 3 columns parted by ',' were expected")
	require.Len(t, m.of(series.Unreadable), 1)
	assert.Equal(t, `20 unreadable rows, lines 3 to 22: the time cannot be read in "oops,18,1"`, m.of(series.Unreadable)[0].Text)

	text = strings.Repeat("oops,18,1\n", 20)
	_, err := Import(bytes.NewReader([]byte(text)), int64(len(text)), "made.csv", o, &memory{}, nil)
	assert.ErrorContains(t, err, "no row of data could be read", "all of them are an error")
}

// Names are told by the last part of a path, and by a unit at their end.
func TestNames(t *testing.T) {
	for _, head := range []string{
		"time_s,voltage_v,current_a", ".time,.voltage,.current", "/arc/time,/arc/voltage,/arc/current", "robot.arc.time,robot.arc.voltage,robot.arc.current",
		"Time (s),Voltage (V),Current (A)", "time [s],arc_voltage [V],arc_current [A]", "T/s,U/V,I/A", "stamp.t_s,weld/Arc Voltage (V),weld/Arc Current [A]",
		"Time-Stamp,Arc-Voltage,Welding Current",
	} {
		m, _ := read(t, []byte(head+"\n1.5,18.0,100\n2.5,18.1,101\n"), Options{})
		got := m.samples()
		require.Len(t, got, 2, head)
		assert.Equal(t, int64(25e8), got[1].tick, head)
		assert.InDelta(t, 18.1, got[1].v, 1e-12, head)
		assert.InDelta(t, 101, got[1].i, 1e-12, head)
	}
	m, _ := read(t, []byte("time_ms,voltage_mv,current_ka,wire_speed_m_per_min\n1500,18000,0.1,6\n2500,18100,0.101,6\n"), Options{})
	assert.InDelta(t, 18.1, m.samples()[1].v, 1e-12)
	assert.InDelta(t, 101, m.samples()[1].i, 1e-12)
	assert.InDelta(t, 0.1, m.blocks[0].Value[0], 1e-9)
	m, _ = read(t, []byte("time,voltage,current,motor.voltage,motor.current\n1.5,18.0,100,1,2\n2.5,18.1,101,3,4\n"), Options{})
	assert.InDelta(t, 101, m.samples()[1].i, 1e-12, "a whole name comes before the end of a path")
	text := "/arc/time,/arc/voltage,/true/current,/set/current\n1.5,18.0,100,1\n"
	_, err := Import(strings.NewReader(text), int64(len(text)), "made.csv", Options{}, &memory{}, nil)
	assert.ErrorContains(t, err, "columns 3 (/true/current) and 4 (/set/current) may both be the current")
}

// A date that may begin with the day or the month is read where a row says which, and
// else refused with what to say.
func TestDatesWithSlashes(t *testing.T) {
	for text, want := range map[string]string{
		"02/01/2026 08:00:00,18,100\n13/01/2026 08:00:00,18,100\n":     "2026-01-02T08:00:00Z",
		"02/01/2026 08:00:00.5,18,100\n02/13/2026 08:00:00.5,18,100\n": "2026-02-01T08:00:00.5Z",
		"31/12/2025 23:59,18,100\n01/01/2026 00:00,18,100\n":           "2025-12-31T23:59:00Z",
		"1/2/2026 3:04:05 PM,18,100\n1/20/2026 3:04:05 PM,18,100\n":    "2026-01-02T15:04:05Z",
		"02-01-2026 08:00:00,18,100\n13-01-2026 08:00:00,18,100\n":     "2026-01-02T08:00:00Z",
		"2026/01/02 08:00:00,18,100\n2026/01/02 08:00:01,18,100\n":     "2026-01-02T08:00:00Z",
	} {
		m, s := read(t, []byte("time,voltage,current\n"+text), Options{})
		assert.Equal(t, want, time.Unix(0, m.samples()[0].tick).UTC().Format(time.RFC3339Nano), text)
		assert.EqualValues(t, 2, s.Samples, text)
		assert.True(t, s.Dated)
	}
	for _, text := range []string{
		"02/01/2026 08:00:00,18,100\n02/01/2026 08:00:01,18,100\n",
		"13/01/2026 08:00:00,18,100\n01/13/2026 08:00:01,18,100\n",
	} {
		_, err := Import(strings.NewReader("time,voltage,current\n"+text), int64(len(text))+21, "made.csv", Options{}, &memory{}, nil)
		var e *Error
		require.ErrorAs(t, err, &e)
		assert.Contains(t, e.Error(), "may begin with the day or with the month")
		assert.Equal(t, `give --time-layout "02/01/2006 15:04:05" where the day comes first, or "01/02/2006 15:04:05" where the month does`, e.Hint())
	}
	m, _ := read(t, []byte("time,voltage,current\n02/01/2026 08:00:00,18,100\n02/01/2026 08:00:01,18,100\n"), Options{TimeLayout: "01/02/2006 15:04:05"})
	assert.Equal(t, "2026-02-01", time.Unix(0, m.samples()[0].tick).UTC().Format(time.DateOnly))
}

func TestGuessesThatAreRefused(t *testing.T) {
	m, s := read(t, []byte("time,voltage,current,arc,wfs\n1,18,100,7.5 bar,6\n2,18,101,7.5 bar,6\n"), Options{})
	assert.False(t, s.Flagged, "a column that holds no flags is none")
	assert.Contains(t, remarks(m), "column 5 (wfs) may be the wire speed, but its unit is not known: give --wire-speed 5*FACTOR")
}

func TestWireColumns(t *testing.T) {
	text := "t,u,i,wire speed (m/min),fed\n1,18,100,6.0,0\n2,18,101,6.3,0.1\n3,18,102,,0.2\n4,18,103,x,0.3\n"
	m, s := read(t, []byte(text), Options{WireLength: "fed*0.001"})
	require.Len(t, m.source.Channels, 4)
	assert.Equal(t, "wire_speed", m.source.Channels[2].Name)
	assert.Equal(t, "wire_length", m.source.Channels[3].Name)
	got := map[uint8][]float64{}
	for _, b := range m.blocks {
		for k := range b.Value {
			got[b.Channel[k]] = append(got[b.Channel[k]], b.Value[k])
			assert.Equal(t, series.Slow, b.Kind)
		}
	}
	assert.InDeltaSlice(t, []float64{0.1, 0.105}, got[2], 1e-12)
	assert.InDeltaSlice(t, []float64{0, 0.0001, 0.0002, 0.0003}, got[3], 1e-12)
	assert.EqualValues(t, 4, s.Samples, "a row without wire is still a sample of the arc")
	assert.EqualValues(t, 2, s.NoWire)
	assert.Contains(t, remarks(m), "2 rows without a number in the columns of wire or travel")
}

func TestTooManyDigits(t *testing.T) {
	m, s := read(t, []byte("1,18.123456789012345,100.00000000\n2,18.123456789012345,321.00000000\n3,19.5,100\n"),
		Options{Time: "1", Voltage: "2", Current: "3"})
	assert.InDelta(t, 18.123456789, m.samples()[0].v, 1e-7)
	assert.Equal(t, 100.0, m.samples()[0].i)
	assert.Equal(t, 1.0, m.source.Channels[series.CurrentChannel].Scale, "zeros that say nothing are not kept")
	assert.Contains(t, strings.Join(s.Notes, "\n"), "the voltage is kept to 8 decimals")
}

func TestLikelyFactorMissing(t *testing.T) {
	_, s := read(t, []byte("1,184,100\n2,185,101\n3,186,102\n"), Options{Time: "1", Voltage: "2", Current: "3"})
	assert.Contains(t, strings.Join(s.Notes, "\n"), "is a factor missing")
}

func TestUnitsOfEpoch(t *testing.T) {
	for _, c := range []struct{ first, second, layout string }{
		{"1900000000.000000001", "1900000001.000000001", "unix"},
		{"1900000000000", "1900000001000", ""},
		{"1900000000000000", "1900000001000000", ""},
		{"1900000000000000001", "1900000001000000001", "unix"},
		{"2030-03-17T18:46:40.000000001+01:00", "2030-03-17T18:46:41.000000001+01:00", ""},
	} {
		m, s := read(t, []byte(c.first+",18,100\n"+c.second+",18,101\n"), Options{Time: "1", TimeLayout: c.layout, Voltage: "2", Current: "3"})
		assert.True(t, s.Dated, c.first)
		assert.InDelta(t, 0, float64(m.samples()[0].tick-19e17), 1, c.first)
		assert.EqualValues(t, 1e9, m.samples()[1].tick-m.samples()[0].tick, c.first)
		assert.Equal(t, m.samples()[0].tick, m.fits[0].At(m.samples()[0].tick).UnixNano())
	}
}

func TestSinkErrorsComeBack(t *testing.T) {
	full := errors.New("disk full")
	text := []byte("1,18,100\n2,18,101\n9,18,102\n")
	for _, fail := range []string{"source", "block", "event"} {
		_, err := Import(bytes.NewReader(text), int64(len(text)), "x", Options{Time: "1", Voltage: "2", Current: "3"}, refusing{fail, full}, nil)
		assert.ErrorIs(t, err, full, fail)
	}
}

type refusing struct {
	what string
	err  error
}

func (r refusing) give(what string) error {
	if what == r.what {
		return r.err
	}
	return nil
}

func (r refusing) Source(series.Source) error { return r.give("source") }

func (r refusing) Block(*series.Block) error { return r.give("block") }

func (r refusing) Event(series.Event) error { return r.give("event") }

func TestProgress(t *testing.T) {
	g := steady()
	text := shapeA(g.readings(), true, true)
	var last int64
	_, err := Import(bytes.NewReader(text), int64(len(text)), "x", Options{}, &memory{}, func(done, total int64) {
		assert.EqualValues(t, 2*len(text), total)
		assert.GreaterOrEqual(t, done, last)
		last = done
	})
	require.NoError(t, err)
	assert.EqualValues(t, 2*len(text), last)
}
