package capture

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

// Tolerances of the estimates, as shares.
const (
	refreshTolerance = 0.05
	arcTolerance     = 0.02
)

// flaggedTime is the arc time by the flags of the readings themselves.
func flaggedTime(r []reading) float64 {
	sum := 0.0
	latest := 0
	for k := 1; k < len(r); k++ {
		if r[k].at <= r[latest].at {
			continue
		}
		if r[k].arc && r[latest].arc {
			sum += float64(r[k].at-r[latest].at) / 1e9
		}
		latest = k
	}
	return sum
}

func TestShapeA(t *testing.T) {
	g := steady()
	r := g.readings()
	for _, header := range []bool{false, true} {
		for _, flag := range []bool{false, true} {
			t.Run(fmt.Sprintf("header=%t/flag=%t", header, flag), func(t *testing.T) {
				o := Options{Time: "1", TimeLayout: "unix", Voltage: "4", Current: "3"}
				if flag && !header {
					o.ArcFlag = "6"
				}
				if header {
					o = Options{}
				}
				m, s := read(t, shapeA(r, header, flag), o)
				require.EqualValues(t, len(r), s.Samples)
				for k, x := range m.samples() {
					require.Equal(t, epoch+r[k].at, x.tick)
					require.InDelta(t, r[k].v, x.v, 1e-9)
					require.InDelta(t, r[k].i, x.i, 1e-9)
				}
				t.Log(s.Refresh, s.HeldAfter, s.Step, s.Notes)
				assert.InEpsilon(t, g.refresh, s.Refresh.Seconds(), refreshTolerance)
				assert.Equal(t, series.Average, s.Basis)
				assert.True(t, s.Dated)
				assert.Len(t, m.fits, 1)
				time, _ := m.arc()
				if flag {
					assert.Zero(t, s.HeldAfter)
					assert.InDelta(t, flaggedTime(r), time, 1e-6)
					return
				}
				assert.Greater(t, s.HeldAfter.Seconds(), 1.5*g.refresh)
				assert.Less(t, s.HeldAfter.Seconds(), 1.1)
				assert.InEpsilon(t, g.arcTime(), time, arcTolerance)
			})
		}
	}
}

func TestShapeB(t *testing.T) {
	o := Options{Time: "1", TimeLayout: "unix", Voltage: "2*0.1", Current: "3"}
	t.Run("values change with each message", func(t *testing.T) {
		g := steady()
		g.rate, g.refresh, g.idleZero = 42, 0, true
		g.gaps = [][2]float64{{40.2, 41.6}, {100, 122}}
		r := g.readings()
		m, s := read(t, shapeB(r), o)
		t.Log(s.Refresh, s.HeldAfter, s.Step, s.Notes)
		assert.Zero(t, s.Refresh)
		assert.Zero(t, s.HeldAfter)
		assert.EqualValues(t, 2, s.Gaps)
		assert.Len(t, m.of(series.Gap), 2)
		time, _ := m.arc()
		want := g.arcTime() - missing(g)
		assert.InEpsilon(t, want, time, 0.01)
	})
	t.Run("refreshed every 0.3 s", func(t *testing.T) {
		g := steady()
		g.rate = 42
		g.gaps = [][2]float64{{40.2, 41.6}, {100, 122}}
		r := g.readings()
		m, s := read(t, shapeB(r), o)
		t.Log(s.Refresh, s.HeldAfter, s.Step, s.Notes)
		assert.InEpsilon(t, g.refresh, s.Refresh.Seconds(), refreshTolerance)
		assert.EqualValues(t, 2, s.Gaps)
		time, _ := m.arc()
		assert.InEpsilon(t, g.arcTime()-missing(g), time, arcTolerance)
	})
}

// missing is the arc time inside gaps, in s.
func missing(g logger) float64 {
	sum := 0.0
	for _, a := range g.arcs {
		for _, x := range g.gaps {
			sum += max(0, min(a[1], x[1])-max(a[0], x[0]))
		}
	}
	return sum
}

func TestShapeC(t *testing.T) {
	for _, rate := range []float64{24, 250} {
		for _, flag := range []bool{false, true} {
			t.Run(fmt.Sprintf("%g/flag=%t", rate, flag), func(t *testing.T) {
				g := steady()
				g.rate = rate
				r := g.readings()
				from := int64(57 * time.Minute)
				m, s := read(t, shapeC(r, from, flag), Options{TimeLayout: "04:05.0"})
				t.Log(s.Refresh, s.HeldAfter, s.Step, s.Notes)
				require.EqualValues(t, len(r), s.Samples)
				for k, x := range m.samples() {
					require.Equal(t, (from+r[k].at)/1e8*1e8, x.tick)
				}
				assert.False(t, s.Dated)
				assert.Equal(t, 1, s.Epochs)
				assert.InEpsilon(t, g.refresh, s.Refresh.Seconds(), refreshTolerance)
				arc, _ := m.arc()
				if flag {
					assert.InEpsilon(t, g.arcTime(), arc, 0.01)
					return
				}
				assert.InEpsilon(t, g.arcTime(), arc, arcTolerance)
			})
		}
	}
}

func TestShapeD(t *testing.T) {
	text, arc, energy := shapeD(3, [][2]float64{{0.5, 1.2}, {1.5, 2.8}})
	m, s := read(t, text, Options{Voltage: "1*0.0244", Current: "2*0.122", Rate: 50000})
	t.Log(s.Refresh, s.HeldAfter, s.Step, s.Notes)
	assert.EqualValues(t, 150000, s.Samples)
	assert.Equal(t, series.Instantaneous, s.Basis)
	assert.Zero(t, s.Refresh)
	assert.Zero(t, s.HeldAfter)
	time, joules := m.arc()
	assert.InDelta(t, arc, time, 1e-3)
	assert.InEpsilon(t, energy, joules, 1e-3)
	for _, b := range m.blocks {
		assert.Nil(t, b.Ticks)
		assert.EqualValues(t, 20000, b.Step)
	}
}

func TestShapeE(t *testing.T) {
	g := steady()
	g.back = 0.33
	r := g.readings()
	back := 0
	for k := 1; k < len(r); k++ {
		if r[k].at < r[k-1].at {
			back++
		}
	}
	require.InDelta(t, 0.33, float64(back)/float64(len(r)), 0.02)
	for _, flag := range []bool{false, true} {
		t.Run(fmt.Sprintf("flag=%t", flag), func(t *testing.T) {
			m, s := read(t, shapeA(r, true, flag), Options{})
			t.Log(s.Refresh, s.HeldAfter, s.Step, s.Notes)
			for k, x := range m.samples() {
				require.Equal(t, epoch+r[k].at, x.tick)
			}
			assert.EqualValues(t, back, s.Backward)
			assert.EqualValues(t, back, m.total(series.ClockBack))
			assert.LessOrEqual(t, len(m.of(series.ClockBack)), 6)
			assert.Equal(t, 1, s.Epochs)
			assert.InEpsilon(t, g.refresh, s.Refresh.Seconds(), refreshTolerance)
			arc, _ := m.arc()
			if flag {
				assert.InDelta(t, flaggedTime(r), arc, 1e-6)
				return
			}
			assert.InEpsilon(t, g.arcTime(), arc, arcTolerance)
		})
	}
}
